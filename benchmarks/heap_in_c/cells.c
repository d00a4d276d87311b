/* What each cell is and does by itself: contents, decay, moist air, growth. */

#include "heap.h"

/* How far nitrogen slows each cell, renewed daily. */
static void nitrogen_factor(const struct parameters *p, struct heap *restrict h) {
    for (int c = FIRST; c < LAST; c++) {
        double nitrogen = h->nitrogen[c] + h->ammonium[c];
        double ratio = p->nitrogen_enough * nitrogen / (p->carbon_of_solids * solids(h, c) + 1e-30);
        h->nitrogen_factor[c] = ratio < 1.0 ? pow(ratio, p->nitrogen_exponent) : 1.0;
    }
}

/* Free air space, conductivity and the slow factor of the rate, at the hour's start. */
static void contents(const struct parameters *p, const struct site *s, struct heap *restrict h) {
    double bare = p->conductivity_bare_w_m_k, per_dry = p->conductivity_per_dry_w_m2_kg;
    double per_water = p->conductivity_per_water_w_m2_kg, tightest = p->air_space_least;
    double of_water = 1.0 / p->water_density_kg_m3, of_matter = 1.0 / p->matter_density_kg_m3;
    double of_ash = 1.0 / p->ash_density_kg_m3, per_height = 1.0 / h->height_m;
    double wet_slope = p->moisture_slope, wet_shift = p->moisture_shift;
    double air_slope = p->air_space_slope, air_shift = p->air_space_shift;
    double loose = (s->looseness - p->settled_share) / (1.0 - p->settled_share + 1e-12);
    double unclumped = p->settled_rate + (1.0 - p->settled_rate) * least(1.0, most(0.0, loose));
    for (int c = FIRST; c < LAST; c++) {
        double per_volume = h->per_area[c] * per_height, matter = solids(h, c);
        double mass = matter + h->ash[c], water = h->water[c];
        double filled = water * of_water + matter * of_matter + h->ash[c] * of_ash;
        double space = least(0.95, most(tightest, 1.0 - filled * per_volume));
        double wet = 1.0 + exponential(wet_shift - wet_slope * (water / (water + mass)));
        double airy = 1.0 + exponential(air_shift - air_slope * space);
        h->space[c] = space;
        h->conductivity[c] = bare + (per_dry * mass + per_water * water) * per_volume;
        h->factor[c] = unclumped * h->nitrogen_factor[c] / (wet * airy);
    }
}

static void saturations(struct heap *restrict h) {
    for (int c = FIRST; c < LAST; c++)
        h->saturation[c] = saturation_of(least(h->temperature[c], 95.0), &h->saturation_rise[c]);
}

/* Water activity, and water and heat of each cell's air as straight lines about its temperature. */
static void moist_air(const struct parameters *p, struct heap *restrict h, int first, int last) {
    double pressure = p->air_pressure_pa, ratio = p->vapour_to_air_mass;
    double latent = p->latent_heat_j_kg, of_vapour = p->vapour_heat_j_kg_k;
    for (int c = first; c < last; c++) {
        double vapour = h->activity[c] * h->saturation[c], per_dry = 1.0 / (pressure - vapour);
        double omega = ratio * vapour * per_dry;
        double rise = ratio * h->activity[c] * h->saturation_rise[c] * pressure * per_dry * per_dry;
        double content = latent + of_vapour * h->temperature[c];
        h->omega[c] = omega;
        h->omega_rise[c] = rise;
        h->enthalpy[c] = omega * content;
        h->enthalpy_rise[c] = rise * content + omega * of_vapour;
    }
}

static void activities(const struct parameters *p, struct heap *restrict h) {
    double sorbed = p->sorption_half * p->sorption_half;
    for (int c = FIRST; c < LAST; c++) {
        double mass = dry(h, c), carried = h->water[c] * h->water[c];
        h->activity[c] = carried / (carried + sorbed * mass * mass);
    }
}

/* Rate without oxygen, its relative slope, heat capacity and oxygen demand (Rosso et al. 1993). */
static void reaction_rates(const struct parameters *p, struct heap *restrict h) {
    double low = p->temperature_lowest_c, best = p->temperature_best_c;
    double high = p->temperature_highest_c, span = best - low, fall = best - high;
    double fast = p->fast_rate_per_day, medium = p->medium_rate_per_day;
    double slow = p->slow_rate_per_day, per_second = p->oxygen_per_solids / 86400.0;
    double of_dry = p->solids_heat_j_kg_k, of_water = p->water_heat_j_kg_k;
    for (int c = FIRST; c < LAST; c++) {
        double t = least(most(h->temperature[c], low + 1e-6), high - 1e-6);
        double inside = t == h->temperature[c] ? 1.0 : 0.0;
        double over = t - low, under = t - high;
        double below = span * (span * (t - best) - fall * (best + low - 2.0 * t));
        double inverse = inside / (below * over * under);
        double rate = under * under * over * over * over * inverse * h->factor[c];
        h->rate[c] = rate;
        h->rate_rise[c] = inverse * (below * (over + 2.0 * under)
                                     - span * (span + 2.0 * fall) * over * under);
        double use = fast * h->fast[c] + medium * h->medium[c] + slow * h->slow[c];
        h->demand[c] = per_second * rate * h->build_up[c] * use;
        h->capacity[c] = of_dry * dry(h, c) + of_water * h->water[c];
    }
}

/* What each pool would lose in this step, and how that rises with heat. */
static void decay(const struct parameters *p, struct heap *restrict h, double seconds) {
    double half = p->oxygen_half, days = seconds / 86400.0;
    double growth = 0.5 * 2.302585093 / p->build_up_tenfold_days * days;
    double fast = p->fast_rate_per_day * days, medium = p->medium_rate_per_day * days;
    double slow = p->slow_rate_per_day * days;
    double per_kg = p->heat_per_oxygen_j_kg * p->oxygen_per_solids, twelfth = 1.0 / 12.0;
    for (int c = FIRST; c < LAST; c++) {
        double going = h->rate[c] * h->oxygen[c] / (half + h->oxygen[c]);
        double g = growth * going, share = h->build_up[c];
        double done = going * share * (1.0 + g) / (1.0 + g * share);
        double x = done * fast, y = done * medium;
        double lost_fast = h->fast[c] * x / (1.0 + x * (0.5 + x * twelfth));
        double lost_medium = h->medium[c] * y / (1.0 + y * (0.5 + y * twelfth));
        double lost_slow = h->slow[c] * least(done * slow, 1.0);
        double lost = lost_fast + lost_medium + lost_slow;
        double top = 0.4 * h->capacity[c] / (per_kg * lost + 1e-3), relative = h->rate_rise[c];
        h->loss_fast[c] = lost_fast;
        h->loss_medium[c] = lost_medium;
        h->loss_slow[c] = lost_slow;
        h->loss_rise[c] = least(relative, least(0.5 * most(relative, 0.0), top));
    }
}

/* New water and temperature of each cell; largest change [K] and least water [kg]. */
static double new_values(const struct parameters *p, struct heap *restrict h, double *driest) {
    double per_kg = p->heat_per_oxygen_j_kg * p->oxygen_per_solids, made = p->water_per_solids;
    double of_dry = p->solids_heat_j_kg_k, of_water = p->water_heat_j_kg_k;
    double largest = 0.0, lowest = 1e30;
    const double *restrict change = h->upright.change;
    for (int c = FIRST; c < LAST; c++) {
        double scale = 1.0 + h->loss_rise[c] * change[c];
        double planned = (h->loss_fast[c] + h->loss_medium[c] + h->loss_slow[c]) * scale;
        scale = most(0.0, scale);
        double fast = least(h->loss_fast[c] * scale, h->fast[c]);
        double medium = least(h->loss_medium[c] * scale, h->medium[c]);
        double slow = least(h->loss_slow[c] * scale, h->slow[c]), lost = fast + medium + slow;
        double gain = h->gain[c] + made * lost, capacity = h->capacity[c];
        double after = capacity - of_dry * lost + of_water * gain;
        double step = (capacity * change[c] + per_kg * (lost - planned)) / after;
        h->loss_fast[c] = fast;
        h->loss_medium[c] = medium;
        h->loss_slow[c] = slow;
        h->new_water[c] = h->water[c] + gain;
        h->new_temperature[c] = h->temperature[c] + step;
        largest = most(largest, fabs(step));
        lowest = least(lowest, h->new_water[c]);
    }
    *driest = lowest;
    return largest;
}

/* Make the new values the present ones; dry mass decayed, and heat of the matter changed. */
static double take_step(const struct parameters *p, struct heap *restrict h, double seconds,
                        double *matter) {
    double half = p->oxygen_half, hot = p->hot_temperature_c, wanted = p->hot_hours_wanted;
    double growth = 2.302585093 / p->build_up_tenfold_days * seconds / 86400.0;
    double own = p->water_heat_j_kg_k * p->water_per_solids - p->solids_heat_j_kg_k;
    double hours = seconds / 3600.0, twelfth = 1.0 / 12.0, decayed = 0.0, heat = 0.0;
    for (int c = FIRST; c < LAST; c++) {
        double lost = h->loss_fast[c] + h->loss_medium[c] + h->loss_slow[c];
        decayed += lost;
        heat += own * h->temperature[c] * lost;
        h->fast[c] -= h->loss_fast[c];
        h->medium[c] -= h->loss_medium[c];
        h->slow[c] -= h->loss_slow[c];
        h->water[c] = h->new_water[c];
        double x = growth * h->rate[c] * h->oxygen[c] / (half + h->oxygen[c]);
        double up = 1.0 + x * (0.5 + x * twelfth), down = 1.0 + x * (x * twelfth - 0.5);
        double share = h->build_up[c];
        h->build_up[c] = share * up / ((1.0 - share) * down + share * up);
        double before = h->temperature[c], after = h->new_temperature[c];
        double high = most(before, after), low = least(before, after);
        double spent = hours * least(1.0, most(0.0, (high - hot) / (high - low + 1e-9)));
        h->temperature[c] = after;
        h->hot_hours[c] += spent;
        h->waiting_hours[c] += spent;
        h->met_share[c] = h->waiting_hours[c] >= wanted ? 1.0 : h->met_share[c];
    }
    *matter = heat;
    return decayed;
}
