/* The draught through the heap and the oxygen it carries: steady states of the hour. */

#include "heap.h"

static void set_outside(const struct parameters *p, const struct site *s, const double *hour,
                        struct outside *o) {
    double unused, air_c = hour[AIR_C], kelvin = air_c + 273.15;
    double vapour = hour[HUMIDITY] * saturation_of(air_c, &unused);
    double dry_air = (p->air_pressure_pa - vapour) / (p->gas_constant_air_j_kg_k * kelvin);
    double wind = p->wind_shelter * hour[WIND];
    double film = p->film_still_w_m2_k + p->film_per_wind_j_m3_k * wind;
    double sun = p->sun_absorptance * hour[SUN] * (1.0 - s->shade);
    o->air_c = air_c;
    o->omega = p->vapour_to_air_mass * vapour / (p->air_pressure_pa - vapour);
    o->enthalpy = o->omega * (p->latent_heat_j_kg + p->vapour_heat_j_kg_k * air_c);
    o->density = dry_air + vapour / (p->gas_constant_vapour_j_kg_k * kelvin);
    o->film = film;
    o->surface_c[SIDE] = air_c + p->sun_side_share * sun / film;
    o->surface_c[TOP] = air_c + (sun - p->sky_loss_w_m2) / film;
    o->surface_c[FOOT] = hour[SOIL_C];
    o->suction = least(0.5 * o->density * p->wind_suction * wind * wind, p->wind_suction_most_pa);
}

/* How freely gas moves in each cell and how much lighter than outside air it is. */
static void pore_gas(const struct parameters *p, struct heap *restrict h, const struct outside *o) {
    double stated = p->permeability_air_space, widest = p->permeability_most_m2;
    double scale = p->permeability_m2 / (stated * stated * stated), pressure = p->air_pressure_pa;
    double per_air = 1.0 / p->gas_constant_air_j_kg_k, gravity = p->gravity_m_s2;
    double per_vapour = 1.0 / p->gas_constant_vapour_j_kg_k;
    double per_viscosity = 1.0 / p->air_viscosity_pa_s;
    double heavier = p->exchange_gas_weight, oxygen_outside = p->oxygen_outside;
    double density = o->density;
    for (int c = FIRST; c < LAST; c++) {
        double vapour = h->activity[c] * h->saturation[c], space = h->space[c];
        double per_kelvin = 1.0 / (h->temperature[c] + 273.15);
        double dry_air = (pressure - vapour) * per_kelvin * per_air;
        double weight = 1.0 + heavier * (oxygen_outside - h->oxygen[c]);
        double pores = scale * space * space * space;
        h->dry_air[c] = dry_air;
        h->lightness[c] = gravity * (density - dry_air * weight - vapour * per_kelvin * per_vapour);
        h->mobility[c] = dry_air * per_viscosity * pores * widest / (pores + widest);
    }
}

/* Solve the symmetric banded system; band[q][k] couples unknowns q and q + k. Each row takes in the
   rows before it, so that every number is written once; the first `RADII` rows of `done` and
   `share` stand before the system and hold zeros. */
static void solve_banded(struct heap *restrict h) {
    for (int q = 0; q < CELLS; q++) {
        double now[RADII + 1], known = h->pressure[q];
        for (int m = 0; m <= RADII; m++) now[m] = h->band[q][m];
#pragma GCC unroll 8
        for (int k = RADII; k >= 1; k--) {
            const double *before = h->done[q + RADII - k], factor = h->share[q + RADII - k][k];
#pragma GCC unroll 8
            for (int m = 0; m <= RADII - k; m++) now[m] -= factor * before[k + m];
            known -= factor * h->known[q + RADII - k];
        }
        double inverse = 1.0 / now[0];
        for (int m = 1; m <= RADII; m++) {
            h->done[q + RADII][m] = now[m];
            h->share[q + RADII][m] = now[m] * inverse;
        }
        h->known[q + RADII] = known;
        h->pressure[q] = known * inverse;
    }
    for (int q = CELLS - 1; q >= 0; q--) {
        double value = h->pressure[q];
        for (int k = RADII; k >= 1; k--) value -= h->share[q + RADII][k] * h->pressure[q + k];
        h->pressure[q] = value;
    }
}

/* Write the pressure system: level by level, so that a row reaches `RADII` unknowns ahead. */
static void pressure_system(const struct parameters *p, const struct site *s,
                            struct heap *restrict h,
                            const struct outside *o, double half) {
    struct rim *side = &h->rims[SIDE], *top = &h->rims[TOP], *foot = &h->rims[FOOT];
    double openness = p->skin_m * (1.0 / s->wall_openness - 1.0);
    double around = 2.0 * M_PI * s->radius_m * h->height_m * s->wall_factor
                    / (0.5 * h->outermost_m + openness);
    double per_foot = 1.0 / (half + p->skin_m * (1.0 / s->floor_openness - 1.0));
    double per_top = 1.0 / (half + p->skin_m * (1.0 / s->cover_openness - 1.0));
    memset(h->band, 0, sizeof h->band);
    memset(h->pressure, 0, sizeof h->pressure);
    for (int j = 0; j < HEIGHTS; j++) {
        int c = FIRST + (RADII - 1) * HEIGHTS + j;
        side->flow[j] = h->mobility[c] * h->tall[c] * around;
        h->band[j * RADII + RADII - 1][0] = side->flow[j];
    }
    for (int i = 0; i < RADII; i++) {
        int low = FIRST + i * HEIGHTS, high = low + HEIGHTS - 1, q = (HEIGHTS - 1) * RADII + i;
        foot->flow[i] = h->mobility[low] * h->ring_area[i] * per_foot;
        top->flow[i] = h->mobility[high] * h->ring_area[i] * per_top;
        h->band[i][0] += foot->flow[i];
        h->band[q][0] += top->flow[i];
        h->pressure[i] += foot->flow[i] * half * h->lightness[low];
        h->pressure[q] -= top->flow[i] * (half * h->lightness[high] + o->suction);
        for (int j = 0; j < HEIGHTS; j++) {
            int c = low + j, place = j * RADII + i;
            h->band[place][0] += h->radial.flow[c] + h->radial.flow[c - HEIGHTS]
                                 + h->upright.flow[c] + h->upright.flow[c - 1];
            h->band[place][RADII] = -h->upright.flow[c];
            h->band[place][1] -= h->radial.flow[c];
            h->pressure[place] += h->push[c - 1] - h->push[c];
        }
    }
}

/* The dry air crossing every face from the heap's own buoyancy [kg/s]: outward and upward. */
static void draught(const struct parameters *p, const struct site *s, struct heap *restrict h,
                    const struct outside *o) {
    double half = 0.5 * h->height_m * h->tall[FIRST], per_height = 1.0 / h->height_m;
    for (int c = FIRST; c < LAST; c++) {
        double here = h->mobility[c], outer = h->mobility[c + HEIGHTS], upper = h->mobility[c + 1];
        double weight = h->tall[c] * h->lightness[c] + h->tall[c + 1] * h->lightness[c + 1];
        h->radial.flow[c] = h->radial.shape[c] * h->height_m * here * outer / (here + outer);
        h->upright.flow[c] = h->upright.shape[c] * per_height * here * upper / (here + upper);
        h->push[c] = h->upright.flow[c] * 0.5 * h->height_m * weight;
    }
    pressure_system(p, s, h, o, half);
    solve_banded(h);
    const double *restrict pressure = h->pressure;
    for (int i = 0; i < RADII; i++) {
        int low = FIRST + i * HEIGHTS, high = low + HEIGHTS - 1, q = (HEIGHTS - 1) * RADII + i;
        for (int j = 0; j < HEIGHTS; j++) {
            int c = low + j, place = j * RADII + i;
            h->radial.flow[c] *= pressure[place] - pressure[place + 1];
            h->upright.flow[c] = h->upright.flow[c] * (pressure[place] - pressure[place + RADII])
                                 + h->push[c];
        }
        h->rims[TOP].flow[i] *= pressure[q] + o->suction + half * h->lightness[high];
        h->rims[FOOT].flow[i] *= pressure[i] - half * h->lightness[low];
    }
    for (int j = 0; j < HEIGHTS; j++) h->rims[SIDE].flow[j] *= pressure[j * RADII + RADII - 1];
}

/* Renew every cell's oxygen once, supply against use; above 0 if a rate changed by a thousandth. */
static double oxygen_sweep(const struct parameters *p, struct heap *restrict h, int from, int by) {
    double outer = p->oxygen_outside, half = p->oxygen_half, per_mass = 1.0 / p->oxygen_to_air_mass;
    double largest = -1.0;
    double *restrict oxygen = h->oxygen;
    for (int place = from; place >= 0 && place < CELLS; place += by) {
        int c = h->order[place];
        double reach = h->breath[c];
        double brought = h->radial.breath_in[c] * oxygen[c + HEIGHTS]
                         + h->radial.breath_out[c - HEIGHTS] * oxygen[c - HEIGHTS]
                         + h->upright.breath_in[c] * oxygen[c + 1]
                         + h->upright.breath_out[c - 1] * oxygen[c - 1]
                         + h->rim_breath[c] * outer;
        double linear = reach * half - brought + h->demand[c] * per_mass;
        double root = sqrt(linear * linear + 4.0 * reach * brought * half);
        double up = linear > 0.0 ? 2.0 * brought * half : root - linear;
        double down = linear > 0.0 ? linear + root : 2.0 * reach;
        double found = least(up / down, outer);
        double change = half * fabs(found - oxygen[c]);
        largest = most(largest, change - 1e-3 * (half + found) * (half + found));
        oxygen[c] = found;
    }
    return largest;
}

static void oxygen_everywhere(const struct parameters *p, struct heap *restrict h) {
    for (int sweep = 0; sweep < 2 * (RADII + HEIGHTS); sweep++) {
        int inwards = sweep % 2 == 0;
        if (oxygen_sweep(p, h, inwards ? 0 : CELLS - 1, inwards ? 1 : -1) <= 0.0) break;
    }
}
