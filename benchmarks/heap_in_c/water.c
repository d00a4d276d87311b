/* The water of the cells and the nitrogen dissolved in it: activity held in a step, rain, draining,
   ammonia carried off with the air. */

#include "heap.h"

/* Solve x + at_full * aw(x) = full for the activity aw = x2 / (x2 + sorbed), 0 <= x <= full. */
static double end_activity(double full, double at_full, double sorbed, double start) {
    double low = 0.0, high = full, x = least(start, full);
    for (int turn = 0; turn < 30; turn++) {
        double squared = x * x, error = x + at_full * squared / (squared + sorbed) - full;
        if (error > 0.0) high = x; else low = x;
        double slope = 1.0 + at_full * 2.0 * x * sorbed / ((squared + sorbed) * (squared + sorbed));
        double step = x - error / slope;
        int found = fabs(error) <= 1e-9 * full;
        x = found || (low < step && step < high) ? step : 0.5 * (low + high);
        if (found) break;
    }
    return x * x / (x * x + sorbed);
}

static double entering_from_outside(const struct heap *h, int c) {
    double entering = 0.0;
    for (int side = 0; side < 3; side++) {
        int place = c - rim_start(side), stride = rim_stride(side);
        if (place >= 0 && place % stride == 0 && place / stride < rim_count(side))
            entering += h->rims[side].entering[place / stride];
    }
    return entering;
}

/* Give dry cells the water activity they will have at the end of the step. */
static void hold_activity(const struct parameters *p, struct heap *restrict h,
                          const struct outside *o, double seconds) {
    double sorbed = p->sorption_half * p->sorption_half, driest = 0.0;
    const struct faces *r = &h->radial, *z = &h->upright;
    for (int c = FIRST; c < LAST; c++)
        driest = most(driest, 2.0 * seconds * h->leaving[c] * h->omega[c] * (1.0 - h->activity[c])
                              - 0.05 * h->water[c]);
    if (driest <= 0.0) return;
    for (int place = 0; place < CELLS; place++) {
        int c = h->order[place], a = c - HEIGHTS, b = c + HEIGHTS;
        double activity = h->activity[c], taken = seconds * h->leaving[c] * h->omega[c];
        if (2.0 * taken * (1.0 - activity) <= 0.05 * h->water[c]) continue;
        double brought = r->out[a] * h->omega[a] + r->in[c] * h->omega[b]
                         + z->out[c - 1] * h->omega[c - 1] + z->in[c] * h->omega[c + 1]
                         + entering_from_outside(h, c) * o->omega;
        double mass = dry(h, c), full = (h->water[c] + seconds * brought) / mass;
        double at_full = taken / (activity + 1e-30) / mass;
        activity = end_activity(full, at_full, sorbed, h->water[c] / mass);
        h->activity[c] = activity;
        moist_air(p, h, c, c + 1);
        double carried = sqrt(sorbed * activity / (1.0 - activity + 1e-12)) + 1e-12;
        double damped = 1.0 / (1.0 + at_full * 2.0 * activity * (1.0 - activity) / carried);
        double lost = (1.0 - damped) * h->omega_rise[c];
        h->omega_rise[c] -= lost;
        h->enthalpy_rise[c] -= lost * (p->latent_heat_j_kg
                                       + p->vapour_heat_j_kg_k * h->temperature[c]);
    }
}

/* Last resort of the shortest step: no cell's air may take out more than the cell holds. */
static void hold_water(struct heap *restrict h, double seconds, double warming_k) {
    double follow = warming_k > 0.0 ? 1.0 : 0.0;
    for (int c = FIRST; c < LAST; c++) {
        double full = 0.9 * h->water[c] / (seconds * h->leaving[c] + 1e-300);
        double wanted = h->omega[c] + warming_k * h->omega_rise[c];
        double kept = least(1.0, full / (wanted + 1e-30));
        h->omega[c] *= kept;
        h->enthalpy[c] *= kept;
        h->omega_rise[c] *= kept * follow;
        h->enthalpy_rise[c] *= kept * follow;
    }
}

/* Give a cell water of this temperature. */
static void pour(const struct parameters *p, struct heap *restrict h, int c, double water,
                 double temperature_c) {
    double capacity = p->solids_heat_j_kg_k * dry(h, c) + p->water_heat_j_kg_k * h->water[c];
    double given = p->water_heat_j_kg_k * water;
    h->water[c] += water;
    h->temperature[c] = (capacity * h->temperature[c] + given * temperature_c) / (capacity + given);
}

/* Whether any cell holds more water than it can hold or has room for. */
static int any_surplus(const struct parameters *p, const struct heap *restrict h) {
    double per_matter = 1.0 / p->matter_density_kg_m3, per_ash = 1.0 / p->ash_density_kg_m3;
    double per_water = 1.0 / p->water_density_kg_m3, holding = p->holding_kg_kg, surplus = -1.0;
    double pores = h->height_m * (1.0 - p->air_space_least);
    for (int c = FIRST; c < LAST; c++) {
        double matter = solids(h, c);
        double filled = h->water[c] * per_water + matter * per_matter + h->ash[c] * per_ash;
        double over = h->water[c] - holding * (matter + h->ash[c]);
        surplus = most(surplus, most(over, filled * h->per_area[c] - pores));
    }
    return surplus > 0.0;
}

/* Let rain in at the top, let surplus water sink from cell to cell and out at the foot. */
static void rain_and_drain(const struct parameters *p, const struct site *s, struct book *b,
                           struct heap *restrict h, const double *hour, double slow) {
    double per_matter = 1.0 / p->matter_density_kg_m3, per_ash = 1.0 / p->ash_density_kg_m3;
    double rain = hour[RAIN] * (1.0 - s->rain_kept), rain_c = most(hour[AIR_C], 0.0);
    double pores = h->height_m * (1.0 - p->air_space_least), of_water = p->water_heat_j_kg_k;
    if (hour[RAIN] <= 0.0 && !any_surplus(p, h)) return;
    for (int i = 0; i < RADII; i++) {
        int start = FIRST + i * HEIGHTS;
        if (rain > 0.0) {
            pour(p, h, start + HEIGHTS - 1, rain * h->ring_area[i], rain_c);
            b->water_rain_kg += rain * h->ring_area[i];
            b->energy_rain_j += of_water * rain * h->ring_area[i] * rain_c;
        }
        for (int c = start + HEIGHTS - 1; c >= start; c--) {
            double matter = solids(h, c), filled = matter * per_matter + h->ash[c] * per_ash;
            double full = p->water_density_kg_m3 * (pores * h->area[c] - filled);
            double held = p->holding_kg_kg * (matter + h->ash[c]), water = h->water[c];
            double sinking = most(slow * most(water - held, 0.0), water - most(full, 0.0));
            if (sinking <= 0.0) continue;
            double dissolved = h->ammonium[c] * sinking / water;
            h->ammonium[c] -= dissolved;
            h->water[c] = water - sinking;
            if (c > start) {
                h->ammonium[c - 1] += dissolved;
                pour(p, h, c - 1, sinking, h->temperature[c]);
            } else {
                b->water_drained_kg += sinking;
                b->nitrogen_drained_kg += dissolved;
                b->energy_drained_lost_j += of_water * sinking * h->temperature[c];
            }
        }
    }
}

static void remember_solids(struct heap *restrict h) {
    for (int c = FIRST; c < LAST; c++) h->solids_before[c] = solids(h, c);
}

/* Set free and bind nitrogen by what decayed since, then let ammonia move with the air. */
static void nitrogen_of_hours(const struct parameters *p, struct book *b, struct heap *restrict h,
                              double hours) {
    double needed = p->carbon_of_solids * p->microbe_carbon_share / p->microbe_c_to_n, lost = 0.0;
    double in_all = 3600.0 * hours * p->water_density_kg_m3 * p->ammonia_gas_share;
    double ph = p->ammonia_ph, strength = p->ammonia_strength, per_kelvin = p->ammonia_strength_k;
    double lift = p->ammonia_rise_k;
    for (int c = FIRST; c < LAST; c++) {
        double before = h->solids_before[c], decayed = most(before - solids(h, c), 0.0);
        double held = h->nitrogen[c] / (before + 1e-30);
        double spare = most(decayed * (held - needed), -h->ammonium[c]);
        double inverse = 1.0 / (h->temperature[c] + 273.15), ammonium = h->ammonium[c] + spare;
        double free = logistic(2.302585093 * (ph - strength - per_kelvin * inverse));
        double room = h->dry_air[c] * h->water[c] + 1e-30, leaving = h->leaving[c];
        double lifted = exponential(lift * (1.0 / 298.15 - inverse));
        double going = in_all * free * lifted * leaving / room;
        double taken = ammonium * going / (1.0 + going);
        h->nitrogen[c] -= spare;
        h->ammonium[c] = ammonium - taken;
        h->ammonia[c] = taken / (leaving + 1e-30);
    }
    for (int c = FIRST; c < LAST; c++)
        h->ammonium[c] += h->ammonia[c - HEIGHTS] * h->radial.out[c - HEIGHTS]
                          + h->ammonia[c + HEIGHTS] * h->radial.in[c]
                          + h->ammonia[c - 1] * h->upright.out[c - 1]
                          + h->ammonia[c + 1] * h->upright.in[c];
    for (int side = 0; side < 3; side++)
        for (int k = 0; k < rim_count(side); k++)
            lost += h->ammonia[rim_start(side) + k * rim_stride(side)] * h->rims[side].leaving[k];
    b->ammonia_lost_kg += lost;
    remember_solids(h);
}
