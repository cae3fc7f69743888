/* Lift curves and followers: values against closed forms, then bad pointers, numbers, counts. */
#include "lobe.h"

static struct swept_lift_curve *curve, *made;
static struct swept_lift l;

/* Every derivative of a flank at half its length: Norton, Cam Design and Manufacturing Handbook, chapter 2 (from memory), by hand. */
static void programmes(void) {
    const double velocity[4] = {15.0 / 8.0, 35.0 / 16.0, 2.0, PI / 2.0}, jerk[4] = {-30.0, -52.5, -4.0 * PI * PI, -PI * PI * PI / 2.0};
    double h = LOBE, L = LENGTH, dwell = 4.0 * DEG;
    int32_t p;
    for (p = SWEPT_POLYNOMIAL_345; p <= SWEPT_HARMONIC; p++) {
        struct swept_lift_curve *lobe = lobe_of(p, h, L, dwell);
        told(swept_lift_curve_at(lobe, -L / 2.0 - dwell / 2.0, &l) == SWEPT_OK && close_to(l.lift_m, h / 2.0, 1e-9) &&
                 close_to(l.velocity_m_per_rad, velocity[p] * h / L, 1e-9) && fabs(l.acceleration_m_per_rad2) < 1e-12 &&
                 close_to(l.jerk_m_per_rad3, jerk[p] * h / (L * L * L), 1e-9), "a motion programme", "another motion");
        GIVES(swept_lift_curve_area(lobe, &out), h * (L + dwell));
        GIVES(swept_lift_curve_maximum(lobe, &out), h);
        GIVES(swept_lift_curve_duration_at(lobe, h / 2.0, &out), L + dwell);
        GIVES(swept_lift_curve_opening_at(lobe, h / 2.0, &out), -(L + dwell) / 2.0);
        GIVES(swept_lift_curve_closing_at(lobe, 0.0, &out), L + dwell / 2.0);
        swept_lift_curve_free(lobe);
    }
}

static void extremes(void) {
    struct swept_lift_extremes e;
    double h = LOBE, L = LENGTH, jump = h * K * K / 2.0;
    struct swept_lift_curve *lobe = lobe_of(SWEPT_POLYNOMIAL_345, h, L, 0.0);
    /* 10/sqrt(3) h/L^2 is the greatest acceleration of the 3-4-5 polynomial. */
    told(swept_lift_curve_extremes(lobe, &e) == SWEPT_OK && close_to(e.greatest_velocity.value_m, 15.0 / 8.0 * h / L, 1e-9) &&
             close_to(e.greatest_velocity.angle_rad, -L / 2.0, 1e-6) && close_to(e.least_velocity.value_m, -15.0 / 8.0 * h / L, 1e-9) &&
             close_to(e.least_acceleration.value_m, -10.0 / sqrt(3.0) * h / (L * L), 1e-9), "3-4-5", "other extremes");
    swept_lift_curve_free(lobe);
    told(swept_lift_curve_extremes(curve, &e) == SWEPT_OK && close_to(e.greatest_acceleration.value_m, jump, 1e-9) &&
             close_to(e.greatest_acceleration.angle_rad, -L, 1e-9) && close_to(e.least_acceleration.value_m, -jump, 1e-9), "harmonic", "other extremes");
    LEAVES(e, swept_lift_curve_extremes(NULL, &e), SWEPT_NULL_POINTER);
    NO(swept_lift_curve_extremes(curve, NULL), SWEPT_NULL_POINTER);
}

static void ramps(void) {
    struct swept_flank flank = {SWEPT_CYCLOIDAL, 55.0 * DEG, 0.0003, 20.0 * DEG}, closing = {SWEPT_POLYNOMIAL_4567, 62.0 * DEG, 0.0, 0.0};
    struct swept_lift_curve *lobe = NULL;
    told(swept_lift_curve_of_flanks(LOBE, &flank, &closing, 0.0, &lobe) == SWEPT_OK, "a ramp", "no curve");
    /* Half of the quarter in which the velocity builds up is lost. */
    told(swept_lift_curve_at(lobe, -60.0 * DEG, &l) == SWEPT_OK && close_to(l.velocity_m_per_rad, 0.0003 / (20.0 * DEG * 7.0 / 8.0), 1e-9) &&
             close_to(l.lift_m, 0.0003 - 5.0 * DEG * l.velocity_m_per_rad, 1e-9), "a ramp", "another velocity");
    GIVES(swept_lift_curve_opening_at(lobe, 0.0, &out), -75.0 * DEG);
    GIVES(swept_lift_curve_closing_at(lobe, 0.0, &out), 62.0 * DEG);
    GIVES(swept_lift_curve_closing_at(lobe, LOBE / 2.0, &out), 31.0 * DEG);
    swept_lift_curve_free(lobe);
}

#define OF_FLANKS(place) swept_lift_curve_of_flanks(n[0], &flank, &other, n[1], place)
static void hostile_flanks(void) {
    struct swept_flank flank = {SWEPT_CYCLOIDAL, 55.0 * DEG, 0.0003, 20.0 * DEG}, other = flank;
    double n[2] = {0.010, 0.0};
    made = NULL;
    NO(swept_lift_curve_of_flanks(n[0], NULL, &other, n[1], &made), SWEPT_NULL_POINTER);
    NO(swept_lift_curve_of_flanks(n[0], &flank, NULL, n[1], &made), SWEPT_NULL_POINTER);
    NO(OF_FLANKS(NULL), SWEPT_NULL_POINTER);
    NOT_A_NUMBER(n[0], OF_FLANKS(&made));
    NOT_A_NUMBER(n[1], OF_FLANKS(&made));
    NOT_A_NUMBER(flank.length_rad, OF_FLANKS(&made));
    NOT_A_NUMBER(flank.ramp_height_m, OF_FLANKS(&made));
    NOT_A_NUMBER(other.ramp_length_rad, OF_FLANKS(&made));
    flank.programme = 4;
    REFUSES(OF_FLANKS(&made), SWEPT_OUT_OF_RANGE);
    flank = other, flank.ramp_length_rad = 0.0;
    REFUSES(OF_FLANKS(&made), SWEPT_OUT_OF_RANGE);
    flank = other, flank.length_rad = 7.0;
    REFUSES(OF_FLANKS(&made), SWEPT_OUT_OF_RANGE);
    flank = other, n[0] = 0.0003;
    REFUSES(OF_FLANKS(&made), SWEPT_OUT_OF_RANGE);
    n[0] = 1e300, n[1] = 1e300;
    REFUSES(OF_FLANKS(&made), SWEPT_OUT_OF_RANGE);
    told(made == NULL, "swept_lift_curve_of_flanks", "written though refused");
}

/* With exponents 2, 4, 6 the lobe is h (1 - x^2)^3, its area 2 b h 16/35. */
static void polynomial(void) {
    const uint8_t exponents[3] = {2, 4, 6}, wrong[3] = {2, 6, 4};
    double n[2] = {0.008, 65.0 * DEG};
#define POLYNOMIAL(list, count, place) swept_lift_curve_polynomial(list, count, n[0], n[1], place)
    told(POLYNOMIAL(exponents, 3, &made) == SWEPT_OK, "a polynomial", "no curve");
    told(swept_lift_curve_at(made, 32.5 * DEG, &l) == SWEPT_OK && close_to(l.lift_m, 0.008 * 27.0 / 64.0, 1e-9) &&
             close_to(l.velocity_m_per_rad, -0.008 * 3.0 * 9.0 / 16.0 / n[1], 1e-9), "a polynomial", "another lift");
    GIVES(swept_lift_curve_area(made, &out), 2.0 * n[1] * 0.008 * 16.0 / 35.0);
    swept_lift_curve_free(made), made = NULL;
    NO(POLYNOMIAL(NULL, 3, &made), SWEPT_NULL_POINTER);
    NO(POLYNOMIAL(exponents, 3, NULL), SWEPT_NULL_POINTER);
    NO(POLYNOMIAL(NULL, 0, &made), SWEPT_WRONG_LENGTH);
    NO(POLYNOMIAL(exponents, 2, &made), SWEPT_WRONG_LENGTH);
    NO(POLYNOMIAL(exponents, HUGE_COUNT, &made), SWEPT_WRONG_LENGTH);
    NO(POLYNOMIAL(wrong, 3, &made), SWEPT_OUT_OF_RANGE);
    NOT_A_NUMBER(n[0], POLYNOMIAL(exponents, 3, &made));
    NOT_A_NUMBER(n[1], POLYNOMIAL(exponents, 3, &made));
    told(made == NULL, "swept_lift_curve_polynomial", "written though refused");
}

#define ROWS 29
static double angles[ROWS], lifts[ROWS];
static struct swept_table_fit fit;

/* The same lobe read every 5 deg, its nose at 100 deg of the table. */
static void read_lobe(void) {
    int i;
    for (i = 0; i < ROWS; i++) {
        double x = (i - 14) * 5.0 / 65.0, y = 1.0 - x * x;
        angles[i] = (100.0 + (i - 14) * 5.0) * DEG, lifts[i] = y > 0.0 ? 0.008 * y * y * y : 0.0;
    }
}

static void tables(void) {
    const double steep[11] = {0.0, 0.0, 0.0001, 0.005, 0.0051, 0.0052, 0.0051, 0.005, 0.0001, 0.0, 0.0};
    double kinks[11], kept;
    size_t count = 99;
    int i;
    read_lobe();
    told(swept_lift_curve_interpolated(angles, lifts, ROWS, &made, &fit) == SWEPT_OK && fit.rms_m < 1e-12 && fabs(fit.nose_rad - 100.0 * DEG) < 1e-6 &&
             fit.kink_count == 0 && fabs(fit.largest_m) < 1e-12 && fabs(fit.peak_lost_m) < 1e-9, "a table", "another fit");
    told(swept_lift_curve_at(made, 10.0 * DEG, &l) == SWEPT_OK && close_to(l.lift_m, lifts[16], 1e-9), "a table", "another lift");
    told(swept_lift_curve_kinks(made, NULL, 0, &count) == SWEPT_OK && count == 0, "no kinks", "some");
    swept_lift_curve_free(made);
    kept = lifts[12], lifts[12] += 2e-6, lifts[17] -= 2e-6;
    told(swept_lift_curve_smoothed(angles, lifts, ROWS, 5e-6, &made, &fit) == SWEPT_OK && fit.rms_m > 1e-7 && fit.rms_m < 6e-6 &&
             fabs(fit.largest_m) >= fit.rms_m && fit.largest_at_rad >= angles[0] && fit.largest_at_rad <= angles[ROWS - 1], "smoothed", "another fit");
    swept_lift_curve_free(made);
    lifts[12] = kept;
    for (i = 0; i < 11; i++) angles[i] = i * 10.0 * DEG;
    told(swept_lift_curve_interpolated(angles, steep, 11, &made, &fit) == SWEPT_OK && fit.kink_count > 0 && fit.kink_count <= 11, "kinks", "none");
    told(swept_lift_curve_kinks(made, kinks, 11, &count) == SWEPT_OK && count == fit.kink_count && kinks[0] >= angles[1] && kinks[0] <= angles[9], "kinks", "others");
    count = 99;
    NO(swept_lift_curve_kinks(made, kinks, fit.kink_count - 1, &count), SWEPT_WRONG_LENGTH);
    NO(swept_lift_curve_kinks(made, NULL, 11, &count), SWEPT_NULL_POINTER);
    NO(swept_lift_curve_kinks(NULL, kinks, 11, &count), SWEPT_NULL_POINTER);
    NO(swept_lift_curve_kinks(made, kinks, 11, NULL), SWEPT_NULL_POINTER);
    told(count == 99, "swept_lift_curve_kinks", "written though refused");
    swept_lift_curve_free(made), made = NULL;
}

#define HOSTILE_TABLE(call_of, extra)                                                      \
    do {                                                                                   \
        read_lobe();                                                                       \
        LEAVES(fit, call_of(NULL, lifts, ROWS extra, &made, &fit), SWEPT_NULL_POINTER);    \
        LEAVES(fit, call_of(angles, NULL, ROWS extra, &made, &fit), SWEPT_NULL_POINTER);   \
        LEAVES(fit, call_of(angles, lifts, ROWS extra, NULL, &fit), SWEPT_NULL_POINTER);   \
        NO(call_of(angles, lifts, ROWS extra, &made, NULL), SWEPT_NULL_POINTER);           \
        LEAVES(fit, call_of(NULL, NULL, 0 extra, &made, &fit), SWEPT_WRONG_LENGTH);        \
        LEAVES(fit, call_of(angles, lifts, 7 extra, &made, &fit), SWEPT_WRONG_LENGTH);     \
        LEAVES(fit, call_of(angles, lifts, HUGE_COUNT extra, &made, &fit), SWEPT_WRONG_LENGTH); \
        LEAVES(fit, call_of(angles, lifts, 15 extra, &made, &fit), SWEPT_OUT_OF_RANGE);    \
        NOT_A_NUMBER(angles[3], call_of(angles, lifts, ROWS extra, &made, &fit));          \
        NOT_A_NUMBER(lifts[9], call_of(angles, lifts, ROWS extra, &made, &fit));           \
        lifts[9] = 1e300;                                                                  \
        told(call_of(angles, lifts, ROWS extra, &made, &fit) < SWEPT_OTHER, #call_of, "huge"); \
        swept_lift_curve_free(made), made = NULL;                                          \
        lifts[9] = -0.001;                                                                 \
        LEAVES(fit, call_of(angles, lifts, ROWS extra, &made, &fit), SWEPT_OUT_OF_RANGE);  \
        read_lobe(), angles[5] = angles[4];                                                \
        LEAVES(fit, call_of(angles, lifts, ROWS extra, &made, &fit), SWEPT_OUT_OF_RANGE);  \
        read_lobe();                                                                       \
    } while (0)
#define DEVIATION , deviation
#define NOTHING

static void hostile_tables(void) {
    double deviation = 5e-6;
    made = NULL;
    HOSTILE_TABLE(swept_lift_curve_interpolated, NOTHING);
    HOSTILE_TABLE(swept_lift_curve_smoothed, DEVIATION);
    NOT_A_NUMBER(deviation, swept_lift_curve_smoothed(angles, lifts, ROWS, deviation, &made, &fit));
    LEAVES(fit, swept_lift_curve_smoothed(angles, lifts, ROWS, 0.0, &made, &fit), SWEPT_OUT_OF_RANGE);
    LEAVES(fit, swept_lift_curve_smoothed(angles, lifts, ROWS, 0.001, &made, &fit), SWEPT_OUT_OF_RANGE);
    told(made == NULL, "a table", "written though refused");
}

#define OF_CURVE_1(f, x)                                                                   \
    do {                                                                                   \
        double value[1] = {x};                                                             \
        REFUSES(f(NULL, value[0], &out), SWEPT_NULL_POINTER);                              \
        REFUSES(f(curve, value[0], NULL), SWEPT_NULL_POINTER);                             \
        EACH_NUMBER(value, out, f(curve, value[0], &out));                                 \
        REFUSES(f(curve, 0.0101, &out), SWEPT_OUT_OF_RANGE);                               \
    } while (0)

static void hostile_curves(void) {
    double angle[1] = {0.1};
    OF_CURVE_1(swept_lift_curve_opening_at, 0.001);
    OF_CURVE_1(swept_lift_curve_closing_at, 0.001);
    OF_CURVE_1(swept_lift_curve_duration_at, 0.001);
    REFUSES(swept_lift_curve_area(NULL, &out), SWEPT_NULL_POINTER);
    REFUSES(swept_lift_curve_area(curve, NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_lift_curve_maximum(NULL, &out), SWEPT_NULL_POINTER);
    REFUSES(swept_lift_curve_maximum(curve, NULL), SWEPT_NULL_POINTER);
    LEAVES(l, swept_lift_curve_at(NULL, 0.1, &l), SWEPT_NULL_POINTER);
    NO(swept_lift_curve_at(curve, 0.1, NULL), SWEPT_NULL_POINTER);
    EACH_NUMBER(angle, l, swept_lift_curve_at(curve, angle[0], &l));
    told(swept_lift_curve_at(curve, 200.0 * PI + 0.1, &l) == SWEPT_OK && close_to(l.lift_m, LOBE / 2.0 * (1.0 + cos(K * 0.1)), 1e-9), "a hundred turns on", "another lift");
    swept_lift_curve_free(NULL);
}

int main(void) {
    nan_value = strtod("nan", NULL);
    curve = lobe_of(SWEPT_HARMONIC, LOBE, LENGTH, 0.0);
    programmes();
    extremes();
    ramps();
    hostile_flanks();
    polynomial();
    tables();
    hostile_tables();
    hostile_curves();
    swept_lift_curve_free(curve);
    if (failures) return 1;
    puts("C: lift curves as their formulas, every bad number, count and pointer refused");
    return 0;
}
