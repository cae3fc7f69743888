/* Rockers, trains, springs and breathing: values against closed forms, then bad pointers, numbers, counts. */
#include "lobe.h"

static struct swept_lift_curve *curve;

/* Both arms square to the valve's axis on the seat, the lifter straight below the cup: with the rocker turned by b, v = a sin b and
   s = c sin b + p - sqrt(p^2 - c^2 (1 - cos b)^2). */
static struct swept_rocker rocker = {0.036, 0.0, 0.024, 3.14159265358979323846, 0.0355, 0.0, -0.024, -0.190, 0.0};
static const double A = 0.036, C = 0.024, P = 0.190, B = 0.25;

static double lifter_at(double b) {
    double across = C * (1.0 - cos(b));
    return C * sin(b) + P - sqrt(P * P - across * across);
}

static void rockers(void) {
    struct swept_train_derivatives d;
    struct swept_sweep w;
    struct swept_rocker other;
    double s = lifter_at(B), v = A * sin(B), step = 1e-5, slope[3];
    int i;
    for (i = 0; i < 3; i++) {
        double b = B + (i - 1) * step, across = C * (1.0 - cos(b));
        slope[i] = A * cos(b) / (C * cos(b) + across * C * sin(b) / sqrt(P * P - across * across));
    }
    GIVES(swept_rocker_pushrod_length(&rocker, &out), P);
    told(swept_rocker_tip_angle(&rocker, &out) == SWEPT_OK && out == 0.0, "swept_rocker_tip_angle", "another angle");
    told(swept_rocker_turned(&rocker, s, &out) == SWEPT_OK && close_to(out, B, 1e-9), "swept_rocker_turned", "another turn");
    told(swept_rocker_valve_lift(&rocker, s, &out) == SWEPT_OK && close_to(out, v, 1e-9), "swept_rocker_valve_lift", "another lift");
    told(swept_rocker_lifter_lift(&rocker, v, &out) == SWEPT_OK && close_to(out, s, 1e-9), "swept_rocker_lifter_lift", "another lift");
    GIVES(swept_rocker_contact(&rocker, v, &out), A * cos(B) - 0.0355);
    told(swept_rocker_derivatives(&rocker, s, &d) == SWEPT_OK && close_to(d.first, slope[1], 1e-9) &&
             close_to(d.second_per_m, (slope[2] - slope[0]) / (lifter_at(B + step) - lifter_at(B - step)), 1e-6), "a ratio", "other derivatives");
    told(swept_rocker_derivatives(&rocker, 0.0, &d) == SWEPT_OK && near(d.first, 1.5) && fabs(d.second_per_m) < 1e-9 && fabs(d.third_per_m2) < 1e-6, "square arms", "other derivatives");
    told(swept_rocker_sweep(&rocker, v, &w) == SWEPT_OK && near(w.seated_m, 0.0005) && near(w.open_m, A * cos(B) - 0.0355) && near(w.outer_m, 0.0005) &&
             near(w.width_m, A - A * cos(B)) && near(w.middle_m, (0.0005 + w.open_m) / 2.0) && near(w.inner_m, w.open_m), "a sweep", "another");
    told(swept_rocker_least_sweep(&rocker, s, &other) == SWEPT_OK && swept_rocker_valve_lift(&other, s, &v) == SWEPT_OK && swept_rocker_sweep(&other, v, &w) == SWEPT_OK &&
             close_to(w.width_m, A - sqrt(A * A - v * v / 4.0), 1e-6) && other.stem_m == rocker.stem_m, "least sweep", "wider");
    told(swept_rocker_centred(&rocker, s, &other) == SWEPT_OK && swept_rocker_valve_lift(&other, s, &v) == SWEPT_OK && swept_rocker_sweep(&other, v, &w) == SWEPT_OK &&
             fabs(w.middle_m) < 1e-9, "centred", "off the axis");
    told(swept_rocker_with_pushrod(&rocker, 0.191, &other) == SWEPT_OK && swept_rocker_pushrod_length(&other, &out) == SWEPT_OK && close_to(out, 0.191, 1e-9),
         "a longer pushrod", "another length");
    LEAVES(other, swept_rocker_with_pushrod(&rocker, 1.0, &other), SWEPT_NO_SOLUTION);
    rocker.stem_m = 0.037;
    LEAVES(other, swept_rocker_centred(&rocker, s, &other), SWEPT_OUT_OF_RANGE);
    rocker.stem_m = 0.0355;
    REFUSES(swept_rocker_valve_lift(&rocker, 0.1, &out), SWEPT_OUT_OF_RANGE);
    HOSTILE(swept_rocker_pushrod_length, rocker, out);
    HOSTILE(swept_rocker_tip_angle, rocker, out);
    HOSTILE_1(swept_rocker_turned, rocker, s, out);
    HOSTILE_1(swept_rocker_valve_lift, rocker, s, out);
    HOSTILE_1(swept_rocker_lifter_lift, rocker, v, out);
    HOSTILE_1(swept_rocker_contact, rocker, v, out);
    HOSTILE_1(swept_rocker_derivatives, rocker, s, d);
    HOSTILE_1(swept_rocker_sweep, rocker, v, w);
    HOSTILE_1(swept_rocker_with_pushrod, rocker, 0.191, other);
    HOSTILE_1(swept_rocker_least_sweep, rocker, s, other);
    HOSTILE_1(swept_rocker_centred, rocker, s, other);
}

#define OF_TRAIN_1(f, x, place)                                                            \
    do {                                                                                   \
        double value[1] = {x};                                                             \
        NULLS_2(f, train, value[0], place);                                                \
        EACH_NUMBER(value, place, f(&train, value[0], &place));                            \
        NOT_A_NUMBER(train.ratio, f(&train, value[0], &place));                            \
        train.ratio = 0.0;                                                                 \
        LEAVES(place, f(&train, value[0], &place), SWEPT_OUT_OF_RANGE);                    \
        train.ratio = 1.6;                                                                 \
    } while (0)

static void trains(void) {
    struct swept_train train = {1.6, NULL}, over = {0.0, &rocker};
    struct swept_train_derivatives d;
    struct swept_valve_train whole;
    struct swept_valve_motion motion;
    struct swept_lift lifter = {0.005, 0.008, -0.02, 0.3}, valve;
    struct swept_train_growths g = {0.0003, 0.00012, 0.0001, 0.00015};
    double s = lifter_at(B), n[2] = {0.0002, 1.6}, angle[1] = {0.1}, lash[1] = {0.0002};
    GIVES(swept_train_valve_lift(&train, 0.005, &out), 0.008);
    GIVES(swept_train_lifter_lift(&train, 0.008, &out), 0.005);
    told(swept_train_valve_lift(&over, s, &out) == SWEPT_OK && close_to(out, A * sin(B), 1e-9), "over a rocker", "another lift");
    told(swept_train_lifter_lift(&over, A * sin(B), &out) == SWEPT_OK && close_to(out, s, 1e-9), "over a rocker", "another lift");
    told(swept_train_ratio_at(&train, 0.005, &d) == SWEPT_OK && d.first == 1.6 && d.second_per_m == 0.0 && d.third_per_m2 == 0.0, "a ratio", "another");
    told(swept_train_ratio_at(&over, 0.0, &d) == SWEPT_OK && near(d.first, 1.5), "over a rocker", "another ratio");
    rocker.stem_m = -1.0;
    REFUSES(swept_train_valve_lift(&over, s, &out), SWEPT_OUT_OF_RANGE);
    rocker.stem_m = 0.0355;
    OF_TRAIN_1(swept_train_valve_lift, 0.005, out);
    OF_TRAIN_1(swept_train_lifter_lift, 0.008, out);
    OF_TRAIN_1(swept_train_ratio_at, 0.005, d);
#define WITH_LASH(t, l, place) swept_train_valve_with_lash(t, l, lash[0], place)
    told(WITH_LASH(&train, &lifter, &valve) == SWEPT_OK && near(valve.lift_m, 0.0078) && near(valve.velocity_m_per_rad, 0.0128) &&
             near(valve.acceleration_m_per_rad2, -0.032) && near(valve.jerk_m_per_rad3, 0.48), "with lash", "another motion");
    lash[0] = 0.009;
    told(WITH_LASH(&train, &lifter, &valve) == SWEPT_OK && valve.lift_m == 0.0 && valve.velocity_m_per_rad == 0.0, "lash not taken up", "a motion");
    lash[0] = 0.0002;
    LEAVES(valve, WITH_LASH(NULL, &lifter, &valve), SWEPT_NULL_POINTER);
    LEAVES(valve, WITH_LASH(&train, NULL, &valve), SWEPT_NULL_POINTER);
    NO(WITH_LASH(&train, &lifter, NULL), SWEPT_NULL_POINTER);
    EACH_NUMBER(lifter, valve, WITH_LASH(&train, &lifter, &valve));
    EACH_NUMBER(lash, valve, WITH_LASH(&train, &lifter, &valve));
    whole.curve = curve, whole.train = train, whole.lash_m = 0.0002, motion.train = whole, motion.centreline_rad = 106.0 * DEG;
    told(swept_valve_train_at(&whole, 0.1, &valve) == SWEPT_OK && close_to(valve.lift_m, 1.6 * LOBE / 2.0 * (1.0 + cos(K * 0.1)) - 0.0002, 1e-9) &&
             close_to(valve.velocity_m_per_rad, -1.6 * LOBE / 2.0 * K * sin(K * 0.1), 1e-9), "lobe to valve", "another motion");
    GIVES(swept_valve_motion_at(&motion, 106.0 * DEG + 0.2, &out), 1.6 * LOBE / 2.0 * (1.0 + cos(K * 0.1)) - 0.0002);
    NULLS_2(swept_valve_train_at, whole, angle[0], valve);
    NULLS_2(swept_valve_motion_at, motion, angle[0], out);
    EACH_NUMBER(angle, valve, swept_valve_train_at(&whole, angle[0], &valve));
    EACH_NUMBER(angle, out, swept_valve_motion_at(&motion, angle[0], &out));
    NOT_A_NUMBER(whole.lash_m, swept_valve_train_at(&whole, 0.1, &valve));
    NOT_A_NUMBER(motion.centreline_rad, swept_valve_motion_at(&motion, 0.1, &out));
    NOT_A_NUMBER(motion.train.train.ratio, swept_valve_motion_at(&motion, 0.1, &out));
    /* A rocker that cannot follow the whole lift is refused wherever the cam stands. */
    whole.train = over, rocker.cup_arm_m = 0.006, rocker.lifter_x_m = -0.006;
    LEAVES(valve, swept_valve_train_at(&whole, 3.0, &valve), SWEPT_OUT_OF_RANGE);
    rocker.cup_arm_m = 0.024, rocker.lifter_x_m = -0.024;
    whole.curve = NULL, motion.train.curve = NULL;
    LEAVES(valve, swept_valve_train_at(&whole, 0.1, &valve), SWEPT_NULL_POINTER);
    LEAVES(out, swept_valve_motion_at(&motion, 0.1, &out), SWEPT_NULL_POINTER);
    GIVES(swept_hot_lash(n[0], n[1], &g, &out), 0.0002 + 1.6 * 0.00018 - 0.00005);
    REFUSES(swept_hot_lash(n[0], n[1], NULL, &out), SWEPT_NULL_POINTER);
    REFUSES(swept_hot_lash(n[0], n[1], &g, NULL), SWEPT_NULL_POINTER);
    EACH_NUMBER(n, out, swept_hot_lash(n[0], n[1], &g, &out));
    EACH_NUMBER(g, out, swept_hot_lash(n[0], n[1], &g, &out));
}

static struct swept_poppet_valve poppet = {0.046, 0.0015, 45.0 * (3.14159265358979323846 / 180.0), 0.040, 0.007};

/* Heywood, Internal Combustion Engine Fundamentals (1988), eqs. 6.7 to 6.10 (from memory), at 45 deg. */
static void breathing(void) {
    struct swept_cylinder c = {0.086, 0.092, 0.148, 0.0};
    struct swept_poppet_figures f;
    double throat = PI / 4.0 * (0.040 * 0.040 - 0.007 * 0.007), rise = 0.006 - 0.0015, closing[2] = {50e-6, 0.0};
    int32_t stage = -7;
    OF_2(swept_curtain_area, 0.046, 0.0115, PI * 0.046 * 0.0115);
    GIVES(swept_poppet_minimum_area(&poppet, 0.002, &out), PI * 0.002 / sqrt(2.0) * (0.043 + 0.001));
    GIVES(swept_poppet_minimum_area(&poppet, 0.006, &out), PI * 0.0445 * sqrt(rise * rise + 0.0015 * 0.0015));
    GIVES(swept_poppet_minimum_area(&poppet, 0.014, &out), throat);
    told(swept_poppet_stage(&poppet, 0.002, &stage) == SWEPT_OK && stage == SWEPT_STAGE_SEAT, "a low lift", "another stage");
    told(swept_poppet_stage(&poppet, 0.006, &stage) == SWEPT_OK && stage == SWEPT_STAGE_SEAT_EDGES, "a middle lift", "another stage");
    told(swept_poppet_stage(&poppet, 0.014, &stage) == SWEPT_OK && stage == SWEPT_STAGE_THROAT, "a high lift", "another stage");
    told(swept_poppet_valve_figures(&poppet, &f) == SWEPT_OK && near(f.mean_seat_diameter_m, 0.0445) && near(f.throat_area_m2, throat) &&
             near(f.lift_for_curtain_m, throat / (PI * 0.046)) && near(f.end_of_seat_stage_m, 0.003), "a poppet valve", "other figures");
    told(close_to(PI * 0.0445 * sqrt(pow(f.lift_for_throat_m - 0.0015, 2.0) + 0.0015 * 0.0015), throat, 1e-9), "a poppet valve", "another lift");
    HOSTILE_1(swept_poppet_minimum_area, poppet, 0.002, out);
    HOSTILE_1(swept_poppet_stage, poppet, 0.002, stage);
    HOSTILE(swept_poppet_valve_figures, poppet, f);
    poppet.seat_angle_rad = 0.0;
    told(swept_poppet_valve_figures(&poppet, &f) == SWEPT_OK && isnan(f.end_of_seat_stage_m), "a flat seat", "an end");
    OF_3(swept_mean_gas_speed, 17.2, 0.00581, 0.00198, 17.2 * 0.00581 / 0.00198);
    OF_3(swept_mach_index, 62.5, 0.36, 345.0, 62.5 / (0.36 * 345.0));
    REFUSES(swept_mach_index(62.5, 1.1, 345.0, &out), SWEPT_OUT_OF_RANGE);
    /* ISO 2533, standard atmosphere at sea level (from memory). */
    told(swept_speed_of_sound_in_air(288.15, &out) == SWEPT_OK && close_to(out, 340.294, 2e-6), "ISO 2533", "another speed of sound");
    REFUSES(swept_speed_of_sound_in_air(0.0, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_speed_of_sound_in_air(nan_value, &out), SWEPT_NOT_FINITE);
    REFUSES(swept_speed_of_sound_in_air(288.15, NULL), SWEPT_NULL_POINTER);
    OF_3(swept_runner_volume, 0.3, 0.0016, 0.0025, 0.1 * (0.0016 + 0.0020 + 0.0025));
    OF_3(swept_runner_length_for, 0.1 * 0.0061, 0.0016, 0.0025, 0.3);
    GIVES(swept_trapped_volume(&c, closing[0], closing[1], &out), PI / 4.0 * 0.086 * 0.086 * 0.092 + 50e-6);
    REFUSES(swept_trapped_volume(NULL, closing[0], closing[1], &out), SWEPT_NULL_POINTER);
    REFUSES(swept_trapped_volume(&c, closing[0], closing[1], NULL), SWEPT_NULL_POINTER);
    EACH_NUMBER(c, out, swept_trapped_volume(&c, closing[0], closing[1], &out));
    EACH_NUMBER(closing, out, swept_trapped_volume(&c, closing[0], closing[1], &out));
}

int main(void) {
    nan_value = strtod("nan", NULL);
    curve = lobe_of(SWEPT_HARMONIC, LOBE, LENGTH, 0.0);
    rockers();
    trains();
    breathing();
    swept_lift_curve_free(curve);
    if (failures) return 1;
    puts("C: rockers, trains and breathing as their formulas, every bad number and pointer refused");
    return 0;
}
