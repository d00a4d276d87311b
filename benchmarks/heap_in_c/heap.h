/* The heap as the C loop holds it: one array for each quantity, one place for each cell.

   `names.h` is written by the benchmark from the kernel's own records, so that a number can never
   be read from the wrong place. A ring's levels lie side by side, foot first; each ring is padded
   to a whole number of vector registers, and a spare ring stands at each end. Padding holds inert
   matter that nothing crosses to, so that every loop may run straight through it. */

#ifndef HEAP_H
#define HEAP_H

#include <math.h>
#include <string.h>

#include "names.h"

enum {
    CELLS = RADII * HEIGHTS,
    FIRST = HEIGHTS,
    LAST = FIRST + CELLS,
    PLACES = LAST + HEIGHTS,
    FACES = HEIGHTS > RADII ? HEIGHTS : RADII,
    DRAUGHT_EVERY = 2,
    NITROGEN_EVERY = 3
};

typedef double row[PLACES];

/* Between cell c and its outer or upper neighbour, per unit: air with what spreads [kg/s], the same
   as oxygen sees it, heat per degree [W/K]. */
struct faces {
    row shape, flow, out, in, breath_out, breath_in, heat_out, heat_in;
    row water, heat;           /* crossing at the present temperatures */
    row lower, diagonal, upper, change; /* the tridiagonal lines */
};

/* The outside faces of one side: led heat, air leaving and entering, sensible heat. */
struct rim {
    double flow[FACES], leaving[FACES], entering[FACES], outward[FACES], led[FACES];
};

struct heap {
    /* Kept from hour to hour. */
    row temperature, water, fast, medium, slow, ash, nitrogen, build_up, hot_hours, waiting_hours,
        met_share, oxygen, nitrogen_factor, ammonium, solids_before;
    /* Of the grid, for a heap one metre high. */
    row tall, area, per_area;
    double ring_area[RADII];
    /* Of the hour. */
    row space, factor, conductivity, spread, dry_air, lightness, mobility, push, leaving, breath,
        rim_breath, ammonia;
    /* Of the step. */
    row activity, saturation, saturation_rise, omega, omega_rise, enthalpy, enthalpy_rise, rate,
        rate_rise, demand, capacity, loss_fast, loss_medium, loss_slow, loss_rise, net, gain,
        new_water, new_temperature;
    struct faces radial, upright;
    struct rim rims[3];
    /* Cells in the order air reaches them, from the foot's rim inwards. */
    int order[CELLS];
    double band[CELLS][RADII + 1], done[CELLS + RADII][RADII + 1], share[CELLS + RADII][RADII + 1];
    double known[CELLS + RADII], pressure[CELLS + RADII + 1];
    double outermost_m, height_m, foot_m2;
};

/* What surrounds the heap in this hour, and what left it in the last step. */
struct outside {
    double air_c, omega, enthalpy, density, film, suction, surface_c[3];
    double led_away[3], with_air, water;
};

enum { SIDE, TOP, FOOT };

/* First cell, distance from cell to cell and number of cells of an outside face. */
static inline int rim_start(int side) {
    if (side == SIDE) return FIRST + (RADII - 1) * HEIGHTS;
    return side == TOP ? FIRST + HEIGHTS - 1 : FIRST;
}
static inline int rim_stride(int side) { return side == SIDE ? 1 : HEIGHTS; }
static inline int rim_count(int side) { return side == SIDE ? HEIGHTS : RADII; }

static inline double least(double a, double b) { return a < b ? a : b; }
static inline double most(double a, double b) { return a > b ? a : b; }

/* exp(x) by a short series and six squarings, x held within -20 and 20. */
static inline double exponential(double x) {
    double s = most(-20.0, least(20.0, x)) * 0.015625;
    double e = 1.0 + s * (1.0 + s * (0.5 + s * (0.16666666666666666 +
               s * (0.041666666666666664 + s * 0.008333333333333333))));
    e *= e, e *= e, e *= e, e *= e, e *= e, e *= e;
    return e;
}
static inline double logistic(double x) { return 1.0 / (1.0 + exponential(-x)); }

/* Saturation pressure of water [Pa] and its slope [Pa/K]: the kernel's polynomial. */
static inline double saturation_of(double temperature_c, double *slope) {
    double s = 0.01 * temperature_c;
    double root = 4.97220814 + s * (9.0299474 + s * (4.48776705 + s * (-0.361891133 +
                  s * (-0.422311936 + s * 0.140154026))));
    double rise = 9.0299474 + s * (8.9755341 + s * (-1.085673399 + s * (-1.689247744 +
                  s * 0.70077013)));
    *slope = 0.04 * root * root * root * rise;
    return root * root * root * root;
}

static inline double solids(const struct heap *h, int c) {
    return h->fast[c] + h->medium[c] + h->slow[c];
}
static inline double dry(const struct heap *h, int c) { return solids(h, c) + h->ash[c]; }

#endif
