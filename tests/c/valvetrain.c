/* Valve timing, degree wheel, lift curves and followers: values against closed forms, then bad pointers, numbers, counts. */
#include "valve.h"

static int alike(const struct swept_valve_timing *t, double centreline, double opening, double closing, double lift) {
    return near(t->centreline_rad, centreline * DEG) && near(t->opening_flank_rad, opening * DEG) &&
           near(t->closing_flank_rad, closing * DEG) && near(t->lift_m, lift);
}

static void one_valve(void) {
    struct swept_valve_events e = {0, 12.0 * DEG, 40.0 * DEG}, x = {1, 52.0 * DEG, 8.0 * DEG}, found;
    struct swept_valve_timing t, ground, exhaust = {-112.0 * DEG, 118.0 * DEG, 124.0 * DEG, 0.001};
    double n[2] = {106.0 * DEG, 0.001};
    GIVES(swept_valve_events_duration(&e, &out), 232.0 * DEG);
    NULLS_1(swept_valve_events_duration, e, out);
    NOT_A_NUMBER(e.opening_rad, swept_valve_events_duration(&e, &out));
    NOT_A_NUMBER(e.closing_rad, swept_valve_events_duration(&e, &out));
    e.exhaust = 2;
    REFUSES(swept_valve_events_duration(&e, &out), SWEPT_OUT_OF_RANGE);
    e.exhaust = 0, e.closing_rad = -200.0 * DEG;
    REFUSES(swept_valve_events_duration(&e, &out), SWEPT_OUT_OF_RANGE);
    e.closing_rad = 40.0 * DEG;
    /* By hand: the intake opens at -12 and closes at 220 deg, the exhaust opens at -232 and closes at 8 deg from overlap top dead centre. */
    told(swept_valve_timing_from_events(&e, n[1], &t) == SWEPT_OK && alike(&t, 104.0, 116.0, 116.0, 0.001), "intake from events", "another timing");
    told(swept_valve_timing_from_events(&x, n[1], &t) == SWEPT_OK && alike(&t, -112.0, 120.0, 120.0, 0.001), "exhaust from events", "another timing");
    NULLS_2(swept_valve_timing_from_events, e, n[1], t);
    LEAVES(t, swept_valve_timing_from_events(&e, nan_value, &t), SWEPT_NOT_FINITE);
    LEAVES(t, swept_valve_timing_from_events(&e, -0.001, &t), SWEPT_OUT_OF_RANGE);
#define BY_NOSE(events, place) swept_valve_timing_from_events_and_centreline(events, n[0], n[1], place)
    told(BY_NOSE(&e, &t) == SWEPT_OK && alike(&t, 106.0, 118.0, 114.0, 0.001), "events and nose", "another timing");
    LEAVES(t, BY_NOSE(NULL, &t), SWEPT_NULL_POINTER);
    NO(BY_NOSE(&e, NULL), SWEPT_NULL_POINTER);
    EACH_NUMBER(n, t, BY_NOSE(&e, &t));
    told(swept_valve_timing_events(&exhaust, &found) == SWEPT_OK && found.exhaust == 1 && near(found.opening_rad, 50.0 * DEG) &&
             near(found.closing_rad, 12.0 * DEG), "swept_valve_timing_events", "other events");
    HOSTILE(swept_valve_timing_events, exhaust, found);
    ground = exhaust;
    told(swept_valve_timing_advanced(&ground, 4.0 * DEG, &t) == SWEPT_OK && alike(&t, -116.0, 118.0, 124.0, 0.001), "advanced", "another timing");
    HOSTILE_1(swept_valve_timing_advanced, ground, 4.0 * DEG, t);
    LEAVES(t, swept_valve_timing_advanced(&ground, -113.0 * DEG, &t), SWEPT_OUT_OF_RANGE);
    t = ground, t.centreline_rad = -116.0 * DEG;
    GIVES(swept_valve_timing_advance_over(&t, &ground, &out), 4.0 * DEG);
    REFUSES(swept_valve_timing_advance_over(NULL, &ground, &out), SWEPT_NULL_POINTER);
    REFUSES(swept_valve_timing_advance_over(&t, NULL, &out), SWEPT_NULL_POINTER);
    REFUSES(swept_valve_timing_advance_over(&t, &ground, NULL), SWEPT_NULL_POINTER);
    EACH_NUMBER(ground, out, swept_valve_timing_advance_over(&t, &ground, &out));
    EACH_NUMBER(t, out, swept_valve_timing_advance_over(&t, &ground, &out));
}

static void both_valves(void) {
    struct swept_cam_timing cam, later;
    struct swept_cam_figures f;
    double n[5] = {110.0 * DEG, 4.0 * DEG, 230.0 * DEG, 236.0 * DEG, 0.00127};
#define FROM_SEPARATION(place) swept_cam_timing_from_separation(n[0], n[1], n[2], n[3], n[4], place)
    told(FROM_SEPARATION(&cam) == SWEPT_OK && alike(&cam.intake, 106.0, 115.0, 115.0, n[4]) && alike(&cam.exhaust, -114.0, 118.0, 118.0, n[4]),
         "swept_cam_timing_from_separation", "another timing");
    NO(FROM_SEPARATION(NULL), SWEPT_NULL_POINTER);
    EACH_NUMBER(n, later, FROM_SEPARATION(&later));
    /* The intake opens 9 deg before, the exhaust closes 4 deg after top dead centre. */
    told(swept_cam_timing_figures(&cam, &f) == SWEPT_OK && near(f.separation_rad, n[0]) && near(f.advance_rad, n[1]) && near(f.overlap_rad, 13.0 * DEG),
         "swept_cam_timing_figures", "other figures");
    HOSTILE(swept_cam_timing_figures, cam, f);
    told(swept_cam_timing_advanced(&cam, -2.0 * DEG, &later) == SWEPT_OK && alike(&later.intake, 108.0, 115.0, 115.0, n[4]), "later", "another timing");
    HOSTILE_1(swept_cam_timing_advanced, cam, 2.0 * DEG, later);
    told(swept_cam_timing_advanced(&cam, -2.0 * DEG, &later) == SWEPT_OK, "later", "refused");
    GIVES(swept_cam_timing_advance_over(&later, &cam, &out), -2.0 * DEG);
    REFUSES(swept_cam_timing_advance_over(NULL, &cam, &out), SWEPT_NULL_POINTER);
    REFUSES(swept_cam_timing_advance_over(&later, NULL, &out), SWEPT_NULL_POINTER);
    REFUSES(swept_cam_timing_advance_over(&later, &cam, NULL), SWEPT_NULL_POINTER);
    EACH_NUMBER(later, out, swept_cam_timing_advance_over(&later, &cam, &out));
    cam.exhaust.lift_m = 0.001;
    LEAVES(f, swept_cam_timing_figures(&cam, &f), SWEPT_OUT_OF_RANGE);
}

static void phase(void) {
    struct swept_chain_drive d = {0.030, 0.060, 0.400};
    double n[2] = {0.0005, 0.014}, c = sqrt(0.4 * 0.4 - 0.03 * 0.03), moved = sqrt(0.399 * 0.399 - 0.03 * 0.03);
    int32_t part;
    GIVES(swept_offset_part_advance(SWEPT_CAM_KEY, n[0], n[1], &out), 2.0 * asin(0.5 / 14.0));
    GIVES(swept_offset_part_advance(SWEPT_CAM_BUSH, n[0], n[1], &out), 4.0 * asin(0.5 / 28.0));
    GIVES(swept_offset_part_advance(SWEPT_CRANK_KEY, n[0], n[1], &out), asin(0.5 / 14.0));
    for (part = 0; part < 3; part++) {
        double advance[2] = {0.0, 0.014};
        told(swept_offset_part_advance(part, 0.0005, 0.014, &advance[0]) == SWEPT_OK, "an offset part", "refused");
        told(swept_offset_part_offset_for(part, advance[0], 0.014, &out) == SWEPT_OK && close_to(out, 0.0005, 1e-7), "an offset part", "another offset");
        EACH_NUMBER(advance, out, swept_offset_part_offset_for(part, advance[0], advance[1], &out));
    }
    EACH_NUMBER(n, out, swept_offset_part_advance(0, n[0], n[1], &out));
    REFUSES(swept_offset_part_advance(3, n[0], n[1], &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_offset_part_advance(0, n[0], n[1], NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_offset_part_offset_for(-1, 0.01, n[1], &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_offset_part_offset_for(2, 3.0, n[1], &out), SWEPT_NO_SOLUTION);
    REFUSES(swept_offset_part_offset_for(0, 0.01, n[1], NULL), SWEPT_NULL_POINTER);
    GIVES(swept_sprocket_pitch_radius(0.009525, 18, &out), 0.009525 / (2.0 * sin(PI / 18.0)));
    REFUSES(swept_sprocket_pitch_radius(0.009525, 2, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_sprocket_pitch_radius(nan_value, 18, &out), SWEPT_NOT_FINITE);
    REFUSES(swept_sprocket_pitch_radius(0.009525, 18, NULL), SWEPT_NULL_POINTER);
    GIVES(swept_chain_drive_tight_span(&d, &out), c);
    HOSTILE(swept_chain_drive_tight_span, d, out);
    GIVES(swept_chain_drive_advance_from_stretch(&d, 0.0015, &out), -2.0 * 0.0015 / 0.060);
    HOSTILE_1(swept_chain_drive_advance_from_stretch, d, 0.0015, out);
    told(swept_chain_drive_advance_from_centre_distance(&d, -0.001, &out) == SWEPT_OK &&
             close_to(out, 2.0 / 0.06 * (moved + 0.03 * asin(0.03 / 0.399) - c - 0.03 * asin(0.03 / 0.4)), 1e-9), "a milled head", "another advance");
    HOSTILE_1(swept_chain_drive_advance_from_centre_distance, d, -0.001, out);
}

static double lifts[3] = {0.001, 0.002, 0.003}, openings[3], closings[3], each[3];
static struct swept_wheel_lift rows[3];
static struct swept_wheel_fit fit;

/* Midpoints of 107.5 deg at 1 mm, a degree earlier for each mm; the wheel shows 1.5 deg at top dead centre. */
static struct swept_wheel_readings wheel(void) {
    struct swept_wheel_readings r;
    int i;
    memset(&r, 0, sizeof r);
    for (i = 0; i < 3; i++) {
        double half = 110.0 - 10.0 * i, middle = 107.5 - i;
        openings[i] = (middle - half) * DEG, closings[i] = (middle + half) * DEG, each[i] = 0.25 * DEG;
    }
    r.count = 3, r.lifts_m = lifts, r.openings_rad = openings, r.closings_rad = closings, r.uncertainty_rad = 0.25 * DEG;
    r.zero.offset_rad = 1.5 * DEG, r.zero.standard_uncertainty_rad = 0.1 * DEG, r.nose_lift_m = nan_value;
    return r;
}

#define FIT(readings) swept_fit_wheel(readings, &fit, rows)
#define SPOILED(change, status)                                                            \
    do {                                                                                   \
        struct swept_wheel_readings r = wheel();                                           \
        change;                                                                            \
        LEAVES(fit, FIT(&r), status);                                                      \
    } while (0)

static void degree_wheel(void) {
    struct swept_wheel_readings r = wheel();
    struct swept_wheel_zero zero;
    double n[3] = {-38.5 * DEG, 41.5 * DEG, 0.2 * DEG}, slope = -1000.0 * DEG, u = 0.25 * DEG;
    const double lower[3] = {0.125 * DEG, 0.125 * DEG, 0.125 * DEG};
    told(swept_wheel_zero_from_positive_stop(n[0], n[1], n[2], &zero) == SWEPT_OK && near(zero.offset_rad, 1.5 * DEG) &&
             near(zero.standard_uncertainty_rad, 0.2 * DEG / sqrt(2.0)), "a positive stop", "another zero");
    NO(swept_wheel_zero_from_positive_stop(n[0], n[1], n[2], NULL), SWEPT_NULL_POINTER);
    EACH_NUMBER(n, zero, swept_wheel_zero_from_positive_stop(n[0], n[1], n[2], &zero));
    LEAVES(zero, swept_wheel_zero_from_positive_stop(n[1], n[0], n[2], &zero), SWEPT_OUT_OF_RANGE);
    /* Least squares of three points on a line: the mean has a third of a midpoint's variance, u^2/2; the slope's is it over the sum of squares. */
    told(FIT(&r) == SWEPT_OK && near(fit.centreline_rad, 105.0 * DEG) && close_to(fit.asymmetry, slope, 1e-9) && fit.from_scatter == 0 &&
             close_to(fit.centreline_uncertainty_rad, sqrt(u * u / 6.0 + 0.01 * DEG * DEG), 1e-9) && fit.scatter_ratio < 1e-6 &&
             close_to(fit.asymmetry_uncertainty, u / sqrt(2.0) / sqrt(2e-6), 1e-9) && near(fit.midpoint_spread_rad, 2.0 * DEG),
         "against lift", "another fit");
    told(near(rows[2].lift_m, 0.003) && near(rows[2].midpoint_rad, 104.0 * DEG) && near(rows[2].duration_rad, 180.0 * DEG) &&
             close_to(rows[2].duration_uncertainty_rad, sqrt(2.0) * u, 1e-9) && fabs(rows[0].opening_residual_rad) < 1e-12 &&
             fabs(rows[1].closing_residual_rad) < 1e-12, "against lift", "other rows");
    r.against = SWEPT_AGAINST_LIFT_TO_NOSE, r.nose_lift_m = 0.010;
    told(FIT(&r) == SWEPT_OK && near(fit.centreline_rad, 97.0 * DEG), "to the nose", "another centreline");
    r.against = SWEPT_AGAINST_HALF_DURATION, r.opening_uncertainties_rad = r.closing_uncertainties_rad = each, r.uncertainty_rad = nan_value;
    told(FIT(&r) == SWEPT_OK && near(fit.centreline_rad, 95.0 * DEG) && close_to(fit.asymmetry, 0.1, 1e-9), "against duration", "another fit");
    r.count = 1;
    told(FIT(&r) == SWEPT_OK && near(fit.centreline_rad, 106.0 * DEG) && isnan(fit.asymmetry) && isnan(fit.scatter_ratio), "one lift", "another fit");
    r = wheel(), r.uncertainty_rad = 0.0, closings[1] += 1.0 * DEG;
    told(FIT(&r) == SWEPT_OK && fit.from_scatter == 1 && isnan(fit.scatter_ratio) && fit.centreline_uncertainty_rad > 0.2 * DEG, "scatter", "another fit");
    /* The residual of a midpoint goes to both readings by their variances. */
    r = wheel(), r.opening_uncertainties_rad = lower, r.closing_uncertainties_rad = each, closings[1] += 1.0 * DEG;
    told(FIT(&r) == SWEPT_OK && fabs(rows[1].opening_residual_rad) > 1e-4 && close_to(rows[1].closing_residual_rad, 4.0 * rows[1].opening_residual_rad, 1e-9),
         "unlike uncertainties", "other residuals");
}

static void hostile_wheel(void) {
    struct swept_wheel_readings r = wheel();
    LEAVES(fit, FIT(NULL), SWEPT_NULL_POINTER);
    NO(swept_fit_wheel(&r, NULL, rows), SWEPT_NULL_POINTER);
    LEAVES(fit, swept_fit_wheel(&r, &fit, NULL), SWEPT_NULL_POINTER);
    SPOILED(r.lifts_m = NULL, SWEPT_NULL_POINTER);
    SPOILED(r.openings_rad = NULL, SWEPT_NULL_POINTER);
    SPOILED(r.closings_rad = NULL, SWEPT_NULL_POINTER);
    SPOILED(r.opening_uncertainties_rad = each, SWEPT_NULL_POINTER);
    SPOILED(r.closing_uncertainties_rad = each, SWEPT_NULL_POINTER);
    SPOILED(r.count = 0, SWEPT_WRONG_LENGTH);
    SPOILED(r.count = HUGE_COUNT, SWEPT_WRONG_LENGTH);
    SPOILED(r.against = 3, SWEPT_OUT_OF_RANGE);
    SPOILED(r.against = SWEPT_AGAINST_LIFT_TO_NOSE, SWEPT_NOT_FINITE);
    SPOILED((r.against = SWEPT_AGAINST_LIFT_TO_NOSE, r.nose_lift_m = 0.002), SWEPT_OUT_OF_RANGE);
    SPOILED(r.uncertainty_rad = nan_value, SWEPT_NOT_FINITE);
    SPOILED(r.uncertainty_rad = -0.1, SWEPT_OUT_OF_RANGE);
    SPOILED(r.zero.offset_rad = HUGE_VAL, SWEPT_NOT_FINITE);
    SPOILED(r.zero.standard_uncertainty_rad = nan_value, SWEPT_NOT_FINITE);
    SPOILED((r.opening_uncertainties_rad = r.closing_uncertainties_rad = each, each[1] = 0.0), SWEPT_OUT_OF_RANGE);
    SPOILED(closings[0] = openings[0], SWEPT_OUT_OF_RANGE);
    r = wheel();
    EACH_NUMBER(lifts, fit, FIT(&r));
    EACH_NUMBER(openings, fit, FIT(&r));
    EACH_NUMBER(closings, fit, FIT(&r));
}

int main(void) {
    nan_value = strtod("nan", NULL);
    one_valve();
    both_valves();
    phase();
    degree_wheel();
    hostile_wheel();
    if (failures) return 1;
    puts("C: timing and degree wheel as their formulas, every bad number, count and pointer refused");
    return 0;
}
