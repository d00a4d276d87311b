/* One heap, hour by hour, written by hand in C for speed: the yardstick of the compiled kernel.

   The same scheme, step for step: one implicit step an hour (shorter where a cell would change by
   more than 8 K), draught every second hour, nitrogen every third, rain, draining, books. One
   member, the usual grid, no actions. Compiled and called by `benchmarks/bench_heap.py`, which
   compares every hour of its trace with the kernel's. Holds one heap at a time: not for threads. */

#include "heap.h"

#include "cells.c"
#include "air.c"
#include "heat.c"
#include "water.c"

struct sums { double dry, water, energy, solids, nitrogen, degradable; };

static struct sums add_up(const struct parameters *p, const struct heap *restrict h) {
    struct sums s = {0.0, 0.0, 0.0, 0.0, 0.0, 0.0};
    double of_dry = p->solids_heat_j_kg_k, of_water = p->water_heat_j_kg_k;
    for (int i = 0; i < RADII; i++)
        for (int c = FIRST + i * HEIGHTS; c < FIRST + i * HEIGHTS + HEIGHTS; c++) {
            double pool = h->fast[c] + h->medium[c], matter = pool + h->slow[c];
            double mass = matter + h->ash[c];
            s.degradable += pool;
            s.solids += matter;
            s.dry += mass;
            s.water += h->water[c];
            s.nitrogen += h->nitrogen[c] + h->ammonium[c];
            s.energy += (of_dry * mass + of_water * h->water[c]) * h->temperature[c];
        }
    return s;
}

static double worst_of(const struct book *b) {
    return most(most(b->worst_dry, most(b->worst_carbon, b->worst_nitrogen)),
                most(b->worst_water, b->worst_energy));
}

/* Compare contents with the books; keep the largest relative errors. */
static void check_balances(const struct parameters *p, struct book *b, const struct sums *s,
                           double hour) {
    double before = worst_of(b), carbon = p->carbon_of_solids * s->solids;
    double came = b->water_in_kg + b->water_rain_kg + b->water_given_kg + b->water_made_kg;
    double heat = b->energy_in_j + b->energy_reaction_j + b->energy_matter_j + b->energy_rain_j
                  + b->energy_given_j - b->energy_drained_lost_j - b->energy_air_lost_j
                  - b->energy_wall_lost_j - b->energy_top_lost_j - b->energy_ground_lost_j
                  - b->energy_turn_lost_j;
    double size = fabs(b->energy_in_j) + b->energy_reaction_j + fabs(b->energy_air_lost_j)
                  + fabs(b->energy_given_j) + p->solids_heat_j_kg_k * b->dry_in_kg
                  + p->water_heat_j_kg_k * came;
    b->worst_dry = most(b->worst_dry,
                        fabs(s->dry - b->dry_in_kg + b->dry_decayed_kg) / b->dry_in_kg);
    b->worst_carbon = most(b->worst_carbon, fabs(carbon - b->carbon_in_kg + b->carbon_decayed_kg)
                                            / (b->carbon_in_kg + 1e-30));
    b->worst_nitrogen = most(b->worst_nitrogen,
                             fabs(s->nitrogen - b->nitrogen_in_kg + b->ammonia_lost_kg
                                  + b->nitrogen_drained_kg) / (b->nitrogen_in_kg + 1e-30));
    b->worst_water = most(b->worst_water, fabs(s->water - came + b->water_evaporated_kg
                                               + b->water_drained_kg) / (came + b->dry_in_kg));
    b->worst_energy = most(b->worst_energy, fabs(s->energy - heat) / size);
    if (worst_of(b) > before) b->worst_hour = hour;
}

static double ring_edge(double share) {
    return share * (1.0 + RING_GRADING - RING_GRADING * share);
}
static double level_edge(double share) {
    return share - LEVEL_GRADING * sin(2.0 * M_PI * share) / (2.0 * M_PI);
}
static double ring_middle(int i) {
    return 0.5 * (ring_edge((double)i / RADII) + ring_edge((i + 1.0) / RADII));
}

/* Ring areas and the shape of every inner face, twice the area over the distance of middles. */
static void set_shapes(struct heap *restrict h, double radius) {
    for (int i = 0; i < RADII; i++) {
        double near = ring_edge((double)i / RADII), far = ring_edge((i + 1.0) / RADII);
        double round = 8.0 * M_PI * far / (ring_edge((i + 2.0) / RADII) - near);
        h->ring_area[i] = M_PI * radius * radius * (far * far - near * near);
        for (int j = 0; j < HEIGHTS; j++) {
            int c = FIRST + i * HEIGHTS + j;
            double low = level_edge((double)j / HEIGHTS);
            double tall = level_edge((j + 1.0) / HEIGHTS) - low;
            double both = level_edge((j + 2.0) / HEIGHTS) - low;
            h->tall[c] = tall;
            h->area[c] = h->ring_area[i] * tall;
            h->per_area[c] = 1.0 / h->area[c];
            h->radial.shape[c] = i + 1 < RADII ? round * tall : 0.0;
            h->upright.shape[c] = j + 1 < HEIGHTS ? 4.0 * h->ring_area[i] / both : 0.0;
        }
    }
    h->outermost_m = radius * (1.0 - ring_edge((RADII - 1.0) / RADII));
    h->foot_m2 = M_PI * radius * radius;
}

static void set_order(struct heap *restrict h) {
    int place = 0;
    for (int diagonal = 0; diagonal < RADII + HEIGHTS - 1; diagonal++)
        for (int inward = 0; inward < RADII; inward++) {
            int j = diagonal - inward;
            if (0 <= j && j < HEIGHTS)
                h->order[place++] = FIRST + (RADII - 1 - inward) * HEIGHTS + j;
        }
}

/* Copy the cells' fields in (`into` the heap) or back out. */
static void copy_cells(struct heap *restrict h, double *cells, int into) {
    row *fields[CELL_FIELDS];
    fields[TEMPERATURE] = &h->temperature, fields[WATER] = &h->water, fields[FAST] = &h->fast;
    fields[MEDIUM] = &h->medium, fields[SLOW] = &h->slow, fields[ASH] = &h->ash;
    fields[NITROGEN] = &h->nitrogen, fields[BUILD_UP] = &h->build_up;
    fields[HOT_HOURS] = &h->hot_hours, fields[WAITING_HOURS] = &h->waiting_hours;
    fields[MET_SHARE] = &h->met_share, fields[OXYGEN] = &h->oxygen;
    fields[NITROGEN_FACTOR] = &h->nitrogen_factor, fields[AMMONIUM] = &h->ammonium;
    for (int f = 0; f < CELL_FIELDS; f++)
        for (int i = 0; i < RADII; i++) {
            double *ours = *fields[f] + FIRST + i * HEIGHTS;
            double *theirs = cells + (f * RADII + i) * HEIGHTS;
            memcpy(into ? ours : theirs, into ? theirs : ours, HEIGHTS * sizeof(double));
        }
}

/* The temperature between cells, at shares of the height and of the radius. */
static double probe_c(const struct heap *h, double from_foot, double from_axis) {
    const double *tall = h->tall + FIRST, *t = h->temperature;
    int i = 0, j = 0;
    double below = 0.5 * tall[0], above = below + 0.5 * (tall[0] + tall[1]);
    while (j < HEIGHTS - 2 && above < from_foot) {
        j++;
        below = above;
        above += 0.5 * (tall[j] + tall[j + 1]);
    }
    while (i < RADII - 2 && ring_middle(i + 1) < from_axis) i++;
    double up = least(most((from_foot - below) / (above - below), 0.0), 1.0);
    double near = ring_middle(i), far = ring_middle(i + 1);
    double out = least(most((from_axis - near) / (far - near), 0.0), 1.0);
    int c = FIRST + i * HEIGHTS + j, b = c + HEIGHTS;
    double low = t[c] * (1.0 - out) + t[b] * out, high = t[c + 1] * (1.0 - out) + t[b + 1] * out;
    return low * (1.0 - up) + high * up;
}

static double core_moisture(const struct heap *h) {
    double mass = 0.0, water = 0.0;
    for (int i = 0; i < RADII && (i == 0 || ring_middle(i) <= CORE_RADIUS); i++) {
        double level = 0.0;
        for (int j = 0; j < HEIGHTS; j++) {
            int c = FIRST + i * HEIGHTS + j;
            level += h->tall[c];
            if (fabs(level - 0.5 * h->tall[c] - 0.5) > CORE_HALF_HEIGHT) continue;
            mass += dry(h, c);
            water += h->water[c];
        }
    }
    return water / (water + mass);
}

static void record(const struct book *b, const struct heap *h, const struct sums *s, double volume,
                   const double *probe, double *trace) {
    double height = volume / h->foot_m2;
    trace[TRACE_PROBE] = probe_c(h, (height - probe[0]) / height, probe[1]);
    trace[TRACE_CORE_MOISTURE] = core_moisture(h);
    trace[TRACE_MEAN_MOISTURE] = s->water / (s->water + s->dry);
    trace[TRACE_DEGRADABLE] = s->degradable / (b->degradable_in_kg + 1e-12);
    trace[TRACE_HEIGHT] = height;
    trace[TRACE_VOLUME] = volume;
    trace[TRACE_DRY] = s->dry;
    trace[TRACE_WATER] = s->water;
    trace[TRACE_SOLIDS] = s->solids;
    trace[TRACE_NITROGEN] = s->nitrogen;
    trace[TRACE_AMMONIA_LOST] = b->ammonia_lost_kg;
    trace[TRACE_NITROGEN_DRAINED] = b->nitrogen_drained_kg;
    trace[TRACE_EVAPORATED] = b->water_evaporated_kg;
    trace[TRACE_DRAINED] = b->water_drained_kg;
    trace[TRACE_HEAT_RELEASED] = b->energy_reaction_j;
    trace[TRACE_HEAT_WITH_AIR] = b->energy_air_lost_j;
    trace[TRACE_HEAT_THROUGH_SIDE] = b->energy_wall_lost_j;
    trace[TRACE_HEAT_THROUGH_TOP] = b->energy_top_lost_j;
    trace[TRACE_HEAT_INTO_GROUND] = b->energy_ground_lost_j;
    trace[TRACE_HEAT_LOST_TURNING] = b->energy_turn_lost_j;
}

/* Work out one step without taking it; the largest change [K], and the least water [kg]. */
static double try_step(const struct parameters *p, const struct site *s, struct heap *restrict h,
                       struct outside *o, double seconds, int resort, int fresh, double *driest) {
    decay(p, h, seconds);
    if (!fresh) {
        activities(p, h);
        moist_air(p, h, FIRST, LAST);
    }
    hold_activity(p, h, o, seconds);
    if (resort > 0) hold_water(h, seconds, resort == 1 ? 8.0 : 0.0);
    cell_equations(p, h, seconds);
    for (int side = 0; side < 3; side++)
        rim_equations(p, h, &h->rims[side], o, side, s->vapour_returned);
    solve_changes(h, seconds);
    inner_water(h, seconds);
    o->with_air = o->water = 0.0;
    for (int side = 0; side < 3; side++)
        rim_results(p, h, &h->rims[side], o, side, seconds, s->vapour_returned);
    return new_values(p, h, driest);
}

static void book_step(const struct parameters *p, struct book *b, const struct outside *o,
                      double decayed, double matter) {
    b->dry_decayed_kg += decayed;
    b->carbon_decayed_kg += p->carbon_of_solids * decayed;
    b->water_made_kg += p->water_per_solids * decayed;
    b->water_evaporated_kg += o->water;
    b->energy_reaction_j += p->heat_per_oxygen_j_kg * p->oxygen_per_solids * decayed;
    b->energy_matter_j += matter;
    b->energy_wall_lost_j += o->led_away[SIDE];
    b->energy_top_lost_j += o->led_away[TOP];
    b->energy_ground_lost_j += o->led_away[FOOT];
    b->energy_air_lost_j += o->with_air;
    b->steps += 1.0;
}

/* Take the hour in `steps` steps, shorter ones where a cell would change by more than 8 K. */
static void steps_of_hour(const struct parameters *p, const struct site *s, struct book *b,
                          struct heap *restrict h, struct outside *o, int steps) {
    double length = 3600.0 / steps, ahead = 3600.0, seconds = length, matter, driest;
    int fresh = 1;
    while (ahead > 1e-6) {
        int resort = 0;
        seconds = least(seconds, ahead);
        reaction_rates(p, h);
        oxygen_everywhere(p, h);
        for (;;) {
            double largest = try_step(p, s, h, o, seconds, resort, fresh, &driest);
            fresh = 0;
            if ((driest >= 0.0 && (largest <= 8.0 || resort > 0)) || resort == 2) break;
            if (seconds < 15.0) resort++; else seconds *= 0.5;
        }
        double decayed = take_step(p, h, seconds, &matter);
        book_step(p, b, o, decayed, matter);
        ahead -= seconds;
        if (ahead > 1e-6) saturations(h);
        seconds = least(length, 2.0 * seconds);
    }
}

/* Run from hour `first` to hour `last`; row 0 of the trace is the heap as it stands at `first`. */
void run_heap(const struct parameters *p, struct site *s, struct book *b, double *cells,
              const double *weather, long first, long last, long steps, const double *probe,
              double *trace) {
    static struct heap heap;
    struct heap *restrict h = &heap;
    struct outside o;
    double settling = 1.0 - exp(-1.0 / (24.0 * p->settling_days));
    double slow = 1.0 - exp(-1.0 / p->drain_hours), waiting = 0.0;
    memset(h, 0, sizeof *h);
    set_shapes(h, s->radius_m);
    set_order(h);
    copy_cells(h, cells, 1);
    struct sums sums = add_up(p, h);
    double volume = sums.dry * s->volume_per_dry * s->looseness;
    check_balances(p, b, &sums, (double)first);
    record(b, h, &sums, volume, probe, trace);
    remember_solids(h);
    for (long hour = first; hour < last; hour++) {
        const double *now = weather + hour * WEATHER_COLUMNS;
        if (hour == first || hour % 24 == 0) nitrogen_factor(p, h);
        h->height_m = volume / h->foot_m2;
        set_outside(p, s, now, &o);
        contents(p, s, h);
        activities(p, h);
        saturations(h);
        moist_air(p, h, FIRST, LAST);
        if (hour == first || hour % DRAUGHT_EVERY == 0) {
            pore_gas(p, h, &o);
            draught(p, s, h, &o);
        }
        exchange(p, s, h, &o);
        steps_of_hour(p, s, b, h, &o, (int)steps);
        waiting += 1.0;
        if (hour % NITROGEN_EVERY == NITROGEN_EVERY - 1 || hour + 1 == last) {
            nitrogen_of_hours(p, b, h, waiting);
            waiting = 0.0;
        }
        s->looseness -= settling * (s->looseness - p->settled_share);
        volume = (b->dry_in_kg - b->dry_decayed_kg) * s->volume_per_dry * s->looseness;
        h->height_m = volume / h->foot_m2;
        rain_and_drain(p, s, b, h, now, slow);
        sums = add_up(p, h);
        check_balances(p, b, &sums, hour + 1.0);
        volume = sums.dry * s->volume_per_dry * s->looseness;
        record(b, h, &sums, volume, probe, trace + (hour - first + 1) * TRACE_COLUMNS);
    }
    copy_cells(h, cells, 0);
}
