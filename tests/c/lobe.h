/* A lobe and its closed form, for the tests that need one. */
#ifndef LOBE_H
#define LOBE_H

#include "valve.h"

/* A lobe alike on both flanks, harmonic: lift h/2 (1 + cos k t) within half a length of the nose, k = pi / length. */
static const double LOBE = 0.010, LENGTH = 60.0 * (3.14159265358979323846 / 180.0), K = 3.0;

static struct swept_lift_curve *lobe_of(int32_t programme, double lift, double length, double dwell) {
    struct swept_flank flank;
    struct swept_lift_curve *curve = NULL;
    memset(&flank, 0, sizeof flank);
    flank.programme = programme, flank.length_rad = length;
    told(swept_lift_curve_of_flanks(lift, &flank, &flank, dwell, &curve) == SWEPT_OK && curve, "swept_lift_curve_of_flanks", "no curve");
    if (!curve) exit(1);
    return curve;
}

#endif
