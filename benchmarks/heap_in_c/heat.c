/* The exchange of heat and vapour between cells and with the outside, in one step.

   The step is linear in the temperature change: radial and vertical exchange are solved one after
   the other in change form. Heat is counted above each cell's own water. */

#include "heap.h"

/* What crosses the inner faces of one direction per unit: conduction, diffusion, draught. */
static inline void face_exchange(const struct parameters *p, struct heap *restrict h,
                                 struct faces *restrict f, double scale, int away) {
    double air_heat = p->air_heat_j_kg_k;
    double ratio = p->diffusivity_oxygen_m2_s / p->diffusivity_vapour_m2_s;
    for (int c = FIRST; c < LAST; c++) {
        int b = c + away;
        double k = h->conductivity[c], other_k = h->conductivity[b], shape = f->shape[c] * scale;
        double d = h->spread[c], other_d = h->spread[b], flow = f->flow[c];
        double both = shape / ((k + other_k) * (d + other_d));
        double led = k * other_k * (d + other_d) * both;
        double spread = d * other_d * (k + other_k) * both;
        double onward = most(flow, 0.0), backward = onward - flow;
        double smeared = 0.5 * (onward + backward);
        double oxygen_spread = most(ratio * spread - smeared, 0.0);
        double over = most(smeared - spread, 0.0);
        double rise = 0.5 * (h->enthalpy_rise[c] + h->enthalpy_rise[b]);
        spread = most(spread - smeared, 0.0);
        led = most(led - over * rise - smeared * air_heat, 0.0);
        f->breath_out[c] = onward + oxygen_spread;
        f->breath_in[c] = backward + oxygen_spread;
        f->out[c] = onward + spread;
        f->in[c] = backward + spread;
        f->heat_out[c] = air_heat * onward + led;
        f->heat_in[c] = air_heat * backward + led;
    }
}

static inline void rim_exchange(const struct parameters *p, struct heap *restrict h,
                                struct rim *restrict r, int side, const double *area, double depth,
                                double resistance, double openness) {
    double ratio = p->diffusivity_oxygen_m2_s / p->diffusivity_vapour_m2_s;
    for (int k = 0; k < rim_count(side); k++) {
        int c = rim_start(side) + k * rim_stride(side);
        double spread = h->spread[c] * area[k] * openness / p->skin_m;
        double onward = most(r->flow[k], 0.0), backward = onward - r->flow[k];
        r->leaving[k] = onward + spread;
        r->entering[k] = backward + spread;
        r->outward[k] = p->air_heat_j_kg_k * onward;
        r->led[k] = area[k] / (depth / h->conductivity[c] + resistance);
        h->leaving[c] += onward + spread;
        h->rim_breath[c] += backward + ratio * spread;
        h->breath[c] += backward + ratio * spread;
    }
}

/* All that stays as it is through the hour: what crosses each face per unit. */
static void exchange(const struct parameters *p, const struct site *s, struct heap *restrict h,
                     const struct outside *o) {
    double at_zero = p->diffusivity_vapour_m2_s * (1.0 - 20.0 * p->diffusivity_rise_per_k);
    double rise = p->diffusivity_vapour_m2_s * p->diffusivity_rise_per_k, film = 1.0 / o->film;
    double around = 2.0 * M_PI * s->radius_m * h->height_m * s->wall_factor, side[HEIGHTS];
    double half = 0.5 * h->height_m * h->tall[FIRST];
    for (int c = FIRST; c < LAST; c++)
        h->spread[c] = h->space[c] * h->space[c] * h->dry_air[c]
                       * (at_zero + rise * h->temperature[c]);
    face_exchange(p, h, &h->radial, h->height_m, HEIGHTS);
    face_exchange(p, h, &h->upright, 1.0 / h->height_m, 1);
    for (int c = FIRST; c < LAST; c++) {
        h->leaving[c] = h->radial.out[c] + h->radial.in[c - HEIGHTS] + h->upright.out[c]
                        + h->upright.in[c - 1];
        h->breath[c] = h->radial.breath_in[c] + h->radial.breath_out[c - HEIGHTS]
                       + h->upright.breath_in[c] + h->upright.breath_out[c - 1];
        h->rim_breath[c] = 0.0;
    }
    for (int j = 0; j < HEIGHTS; j++) side[j] = around * h->tall[FIRST + j];
    rim_exchange(p, h, &h->rims[SIDE], SIDE, side, 0.5 * h->outermost_m,
                 s->wall_resistance + film, s->wall_openness);
    rim_exchange(p, h, &h->rims[TOP], TOP, h->ring_area, half, s->cover_resistance + film,
                 s->cover_openness);
    rim_exchange(p, h, &h->rims[FOOT], FOOT, h->ring_area, half, s->ground_resistance,
                 s->floor_openness);
}

/* Vapour and heat crossing every inner face at the present temperatures. */
static inline void crossing(struct heap *restrict h, struct faces *restrict f, int away) {
    for (int c = FIRST; c < LAST; c++) {
        int b = c + away;
        f->water[c] = f->out[c] * h->omega[c] - f->in[c] * h->omega[b];
        f->heat[c] = f->out[c] * h->enthalpy[c] - f->in[c] * h->enthalpy[b]
                     + f->heat_out[c] * h->temperature[c] - f->heat_in[c] * h->temperature[b];
    }
}

/* Every cell's heat balance as a line of each tridiagonal system. */
static void cell_equations(const struct parameters *p, struct heap *restrict h, double seconds) {
    struct faces *restrict r = &h->radial, *restrict z = &h->upright;
    double per_second = 1.0 / seconds, of_water = p->water_heat_j_kg_k;
    double per_kg = p->heat_per_oxygen_j_kg * p->oxygen_per_solids * per_second;
    crossing(h, r, HEIGHTS);
    crossing(h, z, 1);
    for (int c = FIRST; c < LAST; c++) {
        int inner = c - HEIGHTS, outer = c + HEIGHTS, lower = c - 1, upper = c + 1;
        double own = of_water * h->temperature[c], storage = h->capacity[c] * per_second;
        double water = r->water[inner] - r->water[c] + z->water[lower] - z->water[c];
        double heat = r->heat[inner] - r->heat[c] + z->heat[lower] - z->heat[c];
        double power = per_kg * (h->loss_fast[c] + h->loss_medium[c] + h->loss_slow[c]);
        double per_air = h->enthalpy_rise[c] - own * h->omega_rise[c];
        h->net[c] = heat - own * water + power;
        r->diagonal[c] = storage + (r->out[c] + r->in[inner]) * per_air + r->heat_out[c]
                         + r->heat_in[inner];
        z->diagonal[c] = storage - power * h->loss_rise[c] + (z->out[c] + z->in[lower]) * per_air
                         + z->heat_out[c] + z->heat_in[lower];
        r->upper[c] = r->in[c] * (own * h->omega_rise[outer] - h->enthalpy_rise[outer])
                      - r->heat_in[c];
        z->upper[c] = z->in[c] * (own * h->omega_rise[upper] - h->enthalpy_rise[upper])
                      - z->heat_in[c];
        r->lower[c] = r->out[inner] * (own * h->omega_rise[inner] - h->enthalpy_rise[inner])
                      - r->heat_out[inner];
        z->lower[c] = z->out[lower] * (own * h->omega_rise[lower] - h->enthalpy_rise[lower])
                      - z->heat_out[lower];
    }
}

/* Enter the outside faces of one side; what drips back from a cover has the air's temperature. */
static inline void rim_equations(const struct parameters *p, struct heap *restrict h,
                                 const struct rim *restrict r, const struct outside *o, int side,
                                 double returned) {
    double of_water = p->water_heat_j_kg_k, air_heat = p->air_heat_j_kg_k;
    double surface = o->surface_c[side];
    double *restrict diagonal = side == SIDE ? h->radial.diagonal : h->upright.diagonal;
    for (int k = 0; k < rim_count(side); k++) {
        int c = rim_start(side) + k * rim_stride(side);
        double t = h->temperature[c], leaving = r->leaving[k], entering = r->entering[k];
        double onward = r->outward[k], backward = onward - air_heat * r->flow[k];
        double water = leaving * h->omega[c] - entering * o->omega;
        double drip = side == TOP && water > 0.0 ? returned : 0.0;
        double own = of_water * (drip * o->air_c + (1.0 - drip) * t);
        h->net[c] -= leaving * h->enthalpy[c] - entering * o->enthalpy + onward * t
                     - backward * o->air_c + r->led[k] * (t - surface) - own * water;
        diagonal[c] += leaving * (h->enthalpy_rise[c] - own * h->omega_rise[c]) + onward
                       + r->led[k];
    }
}

/* Solve all radial lines, then all vertical lines, for the temperature change. */
static void solve_changes(struct heap *restrict h, double seconds) {
    struct faces *restrict r = &h->radial, *restrict z = &h->upright;
    double per_second = 1.0 / seconds, upper[RADII] = {0}, before[RADII] = {0};
    for (int i = 0; i < RADII; i++)
        for (int j = 0; j < HEIGHTS; j++) {
            int c = FIRST + i * HEIGHTS + j, a = c - HEIGHTS;
            double pivot = 1.0 / (r->diagonal[c] - r->lower[c] * r->upper[a]);
            r->change[c] = (h->net[c] - r->lower[c] * r->change[a]) * pivot;
            r->upper[c] *= pivot;
        }
    for (int i = RADII - 2; i >= 0; i--)
        for (int j = 0; j < HEIGHTS; j++) {
            int c = FIRST + i * HEIGHTS + j;
            r->change[c] -= r->upper[c] * r->change[c + HEIGHTS];
        }
    for (int c = FIRST; c < LAST; c++) h->net[c] = h->capacity[c] * per_second * r->change[c];
    for (int j = 0; j < HEIGHTS; j++)
        for (int i = 0; i < RADII; i++) {
            int c = FIRST + i * HEIGHTS + j;
            double pivot = 1.0 / (z->diagonal[c] - z->lower[c] * upper[i]);
            before[i] = (h->net[c] - z->lower[c] * before[i]) * pivot;
            upper[i] = z->upper[c] * pivot;
            z->change[c] = before[i];
            z->upper[c] = upper[i];
        }
    for (int j = HEIGHTS - 2; j >= 0; j--)
        for (int i = 0; i < RADII; i++) {
            int c = FIRST + i * HEIGHTS + j;
            before[i] = z->change[c] - z->upper[c] * before[i];
            z->change[c] = before[i];
        }
}

/* Vapour that went from cell to cell [kg]; the outside faces come on top. */
static void inner_water(struct heap *restrict h, double seconds) {
    struct faces *restrict r = &h->radial, *restrict z = &h->upright;
    for (int c = FIRST; c < LAST; c++) {
        r->water[c] += r->out[c] * h->omega_rise[c] * r->change[c]
                       - r->in[c] * h->omega_rise[c + HEIGHTS] * r->change[c + HEIGHTS];
        z->water[c] += z->out[c] * h->omega_rise[c] * z->change[c]
                       - z->in[c] * h->omega_rise[c + 1] * z->change[c + 1];
    }
    for (int c = FIRST; c < LAST; c++)
        h->gain[c] = seconds * (r->water[c - HEIGHTS] - r->water[c] + z->water[c - 1]
                                - z->water[c]);
}

/* Take the vapour through the faces of one side from the cells; add up what left the heap. */
static inline void rim_results(const struct parameters *p, struct heap *restrict h,
                               const struct rim *restrict r, struct outside *o, int side,
                               double seconds, double returned) {
    double of_water = p->water_heat_j_kg_k, air_heat = p->air_heat_j_kg_k;
    double surface = o->surface_c[side], air_c = o->air_c, led = 0.0, carried = 0.0, wet = 0.0;
    const double *restrict changes = side == SIDE ? h->radial.change : h->upright.change;
    for (int k = 0; k < rim_count(side); k++) {
        int c = rim_start(side) + k * rim_stride(side);
        double change = changes[c], t = h->temperature[c] + change, onward = r->outward[k];
        double leaving = r->leaving[k], entering = r->entering[k];
        double water = leaving * h->omega[c] - entering * o->omega;
        double drip = side == TOP && water > 0.0 ? returned : 0.0;
        double backward = onward - air_heat * r->flow[k];
        water += leaving * h->omega_rise[c] * change;
        carried += leaving * (h->enthalpy[c] + h->enthalpy_rise[c] * change)
                   - entering * o->enthalpy + onward * t - backward * air_c
                   - drip * water * of_water * air_c;
        led += r->led[k] * (t - surface);
        wet += (1.0 - drip) * water;
        h->gain[c] -= seconds * (1.0 - drip) * water;
    }
    o->led_away[side] = seconds * led;
    o->with_air += seconds * carried;
    o->water += seconds * wet;
}
