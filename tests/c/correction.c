/* Correction of unbalance: trial weights and drilling against closed forms, then bad pointers, numbers, texts and counts. */
#include "check.h"
#include <string.h>

#define DEG (3.14159265358979323846 / 180.0)
#define HUGE_COUNT ((size_t)-1)

static int close_to(double found, double expected, double tolerance) {
    return fabs(found - expected) <= tolerance * fabs(expected) + 1e-12;
}

static int same_angle(double found, double expected, double tolerance) {
    return fabs(sin((found - expected) / 2.0)) <= tolerance;
}

/* Rao, Mechanical Vibrations, chapter 9, example 9.2 (data from memory); one ounce at the radius stands as one kg m. */
static struct swept_vibration baseline[2] = {{8.5, 60.0 * DEG}, {6.5, 205.0 * DEG}};
static struct swept_unbalance trials[4] = {{10.0, 270.0 * DEG}, {0.0, 0.0}, {0.0, 0.0}, {12.0, 180.0 * DEG}};
static struct swept_vibration readings[4] = {{6.0, 125.0 * DEG}, {4.5, 230.0 * DEG}, {6.0, 35.0 * DEG}, {10.5, 160.0 * DEG}};
static int32_t staying[2] = {0, 0};
static double of_sensors[2] = {1.0, 1.0}, of_runs[3] = {1.0, 1.0, 1.0};

static struct swept_trial_survey rotor(void) {
    struct swept_trial_survey s;
    memset(&s, 0, sizeof s);
    s.sensors = s.planes = s.runs = 2;
    s.baseline = baseline, s.weights = trials, s.readings = readings;
    return s;
}

static struct swept_correction_weight w[2];
static struct swept_predicted_vibration left[2];
static struct swept_influence a[4];
static struct swept_vibration v[2];
static struct swept_unbalance add[2];

#define CORRECT(survey) swept_correct_by_trials(survey, w, left, &out)
#define INFLUENCE(survey) swept_influence_by_trials(survey, a, &out)
#define PREDICT(survey) swept_predict_by_trials(survey, add, v)
#define SPOILED(call, change, status)                                                      \
    do {                                                                                   \
        struct swept_trial_survey s = rotor();                                             \
        s.stays = staying, s.sensor_weights = of_sensors, s.run_weights = of_runs;         \
        change;                                                                            \
        REFUSES(call(&s), status);                                                         \
    } while (0)
#define OF_SURVEY(call)                                                                    \
    do {                                                                                   \
        struct swept_trial_survey good = rotor();                                          \
        NOT_A_NUMBER(baseline[1].amplitude, call(&good));                                  \
        NOT_A_NUMBER(baseline[0].phase_rad, call(&good));                                  \
        NOT_A_NUMBER(trials[3].amount_kg_m, call(&good));                                  \
        NOT_A_NUMBER(trials[0].heavy_at_rad, call(&good));                                 \
        NOT_A_NUMBER(readings[3].amplitude, call(&good));                                  \
        NOT_A_NUMBER(readings[2].phase_rad, call(&good));                                  \
        NOT_A_NUMBER(good.relative_uncertainty, call(&good));                              \
        NOT_A_NUMBER(good.phase_uncertainty_rad, call(&good));                             \
        NOT_A_NUMBER(good.absolute_uncertainty, call(&good));                              \
        REFUSES(call(NULL), SWEPT_NULL_POINTER);                                           \
        SPOILED(call, s.baseline = NULL, SWEPT_NULL_POINTER);                              \
        SPOILED(call, s.weights = NULL, SWEPT_NULL_POINTER);                               \
        SPOILED(call, s.readings = NULL, SWEPT_NULL_POINTER);                              \
        SPOILED(call, s.sensors = 0, SWEPT_WRONG_LENGTH);                                  \
        SPOILED(call, s.sensors = 1, SWEPT_WRONG_LENGTH);                                  \
        SPOILED(call, s.sensors = HUGE_COUNT, SWEPT_WRONG_LENGTH);                         \
        SPOILED(call, s.planes = 0, SWEPT_WRONG_LENGTH);                                   \
        SPOILED(call, s.planes = HUGE_COUNT, SWEPT_WRONG_LENGTH);                          \
        SPOILED(call, s.runs = 0, SWEPT_WRONG_LENGTH);                                     \
        SPOILED(call, s.runs = 1, SWEPT_WRONG_LENGTH);                                     \
        SPOILED(call, s.runs = HUGE_COUNT, SWEPT_WRONG_LENGTH);                            \
        SPOILED(call, (s.runs = HUGE_COUNT, s.planes = 0), SWEPT_WRONG_LENGTH);            \
        SPOILED(call, s.phase_lag = 2, SWEPT_OUT_OF_RANGE);                                \
        SPOILED(call, s.relative_uncertainty = -0.1, SWEPT_OUT_OF_RANGE);                  \
        SPOILED(call, s.relative_uncertainty = 10.0, SWEPT_OUT_OF_RANGE);                  \
        staying[1] = 7;                                                                    \
        SPOILED(call, (void)s, SWEPT_OUT_OF_RANGE);                                        \
        staying[1] = 0, of_sensors[1] = 0.0;                                               \
        SPOILED(call, (void)s, SWEPT_OUT_OF_RANGE);                                        \
        of_sensors[1] = 1.0, of_runs[2] = nan_value;                                       \
        SPOILED(call, (void)s, SWEPT_OUT_OF_RANGE);                                        \
        of_runs[2] = 1.0;                                                                  \
    } while (0)
#define ALIKE(call)                                                                        \
    do {                                                                                   \
        trials[1] = trials[3], trials[2] = trials[0];                                      \
        SPOILED(call, (void)s, SWEPT_OUT_OF_RANGE);                                        \
        told(strstr(swept_last_error_message(), "the same weights") != NULL, #call, "another message"); \
        trials[1] = trials[2] = none;                                                      \
        SPOILED(call, s.readings = same, SWEPT_OUT_OF_RANGE);                              \
    } while (0)

static void hostile_trials(void) {
    struct swept_trial_survey s = rotor();
    struct swept_vibration same[4];
    const struct swept_unbalance none = {0.0, 0.0};
    memcpy(same, baseline, sizeof baseline);
    memcpy(same + 2, baseline, sizeof baseline);
    w[0].amount_kg_m = left[0].amplitude = a[0].angle_rad = v[0].amplitude = -7.0;
    OF_SURVEY(CORRECT);
    OF_SURVEY(INFLUENCE);
    OF_SURVEY(PREDICT);
    /* Two runs with the same weights, and weights that changed nothing. */
    ALIKE(CORRECT);
    ALIKE(INFLUENCE);
    ALIKE(PREDICT);
    REFUSES(swept_correct_by_trials(&s, NULL, left, &out), SWEPT_NULL_POINTER);
    REFUSES(swept_correct_by_trials(&s, w, NULL, &out), SWEPT_NULL_POINTER);
    REFUSES(swept_correct_by_trials(&s, w, left, NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_influence_by_trials(&s, NULL, &out), SWEPT_NULL_POINTER);
    REFUSES(swept_influence_by_trials(&s, a, NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_predict_by_trials(&s, add, NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_predict_by_trials(&s, NULL, v), SWEPT_NULL_POINTER);
    NOT_A_NUMBER(add[1].amount_kg_m, PREDICT(&s));
    told(w[0].amount_kg_m == -7.0 && left[0].amplitude == -7.0 && a[0].angle_rad == -7.0 && v[0].amplitude == -7.0,
         "trials", "written though refused");
}

static void two_planes(void) {
    struct swept_trial_survey s = rotor();
    int i;
    told(CORRECT(&s) == SWEPT_OK && close_to(w[0].unbalance_kg_m, 10.0561, 1e-4) && same_angle(w[0].heavy_at_rad, 145.5548 * DEG, 1e-5) &&
             close_to(w[1].unbalance_kg_m, 5.8774, 1e-4) && same_angle(w[1].heavy_at_rad, 248.2559 * DEG, 1e-5),
         "two planes of a textbook", "another unbalance");
    for (i = 0; i < 2; i++)
        told(w[i].amount_kg_m == w[i].unbalance_kg_m && same_angle(w[i].angle_rad, w[i].heavy_at_rad + PI, 1e-12) &&
                 w[i].amount_uncertainty_kg_m == 0.0 && left[i].amplitude < 1e-12 && left[i].standard_uncertainty == 0.0,
             "two planes of a textbook", "other weights");
    told(close_to(out, 2.3407653598915745, 1e-9), "two planes of a textbook", "another condition");
    told(INFLUENCE(&s) == SWEPT_OK && close_to(a[0].amplitude_per_kg_m, 0.807112, 1e-5) && same_angle(a[2].angle_rad, 76.8562 * DEG, 1e-5) &&
             close_to(a[1].amplitude_per_kg_m, 0.331313, 1e-5) && close_to(out, 2.3407653598915745, 1e-9),
         "swept_influence_by_trials", "other coefficients");
    for (i = 0; i < 2; i++) add[i].amount_kg_m = w[i].amount_kg_m, add[i].heavy_at_rad = w[i].angle_rad;
    told(PREDICT(&s) == SWEPT_OK && v[0].amplitude < 1e-12 && v[1].amplitude < 1e-12, "swept_predict_by_trials", "something remains");
    add[0].amount_kg_m = add[1].amount_kg_m = 0.0;
    told(PREDICT(&s) == SWEPT_OK && near(v[1].amplitude, 6.5) && same_angle(v[1].phase_rad, 205.0 * DEG, 1e-12),
         "swept_predict_by_trials", "not the baseline");
}

static void known_coefficients(void) {
#define KNOWN(c, n, p, b, lag) swept_correct_by_influence(c, n, p, b, lag, add)
    add[0].amount_kg_m = -7.0;
    NOT_A_NUMBER(a[3].amplitude_per_kg_m, KNOWN(a, 2, 2, baseline, 0));
    NOT_A_NUMBER(a[0].angle_rad, KNOWN(a, 2, 2, baseline, 0));
    NOT_A_NUMBER(baseline[1].phase_rad, KNOWN(a, 2, 2, baseline, 0));
    REFUSES(KNOWN(NULL, 2, 2, baseline, 0), SWEPT_NULL_POINTER);
    REFUSES(KNOWN(a, 2, 2, NULL, 0), SWEPT_NULL_POINTER);
    REFUSES(swept_correct_by_influence(a, 2, 2, baseline, 0, NULL), SWEPT_NULL_POINTER);
    REFUSES(KNOWN(a, 0, 2, baseline, 0), SWEPT_WRONG_LENGTH);
    REFUSES(KNOWN(a, 2, 0, baseline, 0), SWEPT_WRONG_LENGTH);
    REFUSES(KNOWN(a, 1, 2, baseline, 0), SWEPT_WRONG_LENGTH);
    REFUSES(KNOWN(a, HUGE_COUNT, 2, baseline, 0), SWEPT_WRONG_LENGTH);
    REFUSES(KNOWN(a, 2, HUGE_COUNT, baseline, 0), SWEPT_WRONG_LENGTH);
    REFUSES(KNOWN(a, 2, 2, baseline, -1), SWEPT_OUT_OF_RANGE);
    told(add[0].amount_kg_m == -7.0, "swept_correct_by_influence", "written though refused");
    told(KNOWN(a, 2, 2, baseline, 0) == SWEPT_OK && close_to(add[0].amount_kg_m, 10.0561, 1e-4) &&
             same_angle(add[1].heavy_at_rad, 68.2559 * DEG, 1e-5), "swept_correct_by_influence", "other weights");
}

/* One plane: 4 at phase zero, 2 with the trial of T at its zero: 2 T more is to be added there. W = -V0 T / (V1 - V0) by its derivatives. */
static void one_plane(void) {
    struct swept_vibration before = {4.0, 0.5}, after = {2.0, 0.5};
    struct swept_unbalance trial = {1e-4, 0.2};
    struct swept_trial_survey s = rotor();
    double r = 1e-4, p = 2e-4; /* small: the core differentiates over one standard uncertainty */
    int32_t stays[1] = {1};
    s.sensors = s.planes = s.runs = 1, s.baseline = &before, s.weights = &trial, s.readings = &after;
    s.relative_uncertainty = r, s.phase_uncertainty_rad = p;
    told(CORRECT(&s) == SWEPT_OK && close_to(w[0].amount_kg_m, 2e-4, 1e-9) && same_angle(w[0].angle_rad, 0.2, 1e-9) &&
             close_to(w[0].amount_uncertainty_kg_m, sqrt(2.0) * r * 2e-4, 1e-5) && close_to(w[0].angle_uncertainty_rad, sqrt(2.0) * p, 1e-5) &&
             close_to(left[0].standard_uncertainty, sqrt(32.0 * (r * r + p * p)), 1e-5), "one plane", "other figures");
    s.stays = stays;
    told(CORRECT(&s) == SWEPT_OK && close_to(w[0].amount_kg_m, 1e-4, 1e-9) && close_to(w[0].unbalance_kg_m, 2e-4, 1e-9),
         "one plane, the trial stays", "other figures");
    before.phase_rad = after.phase_rad = -0.5, s.phase_lag = 1, s.stays = NULL;
    told(CORRECT(&s) == SWEPT_OK && close_to(w[0].amount_kg_m, 2e-4, 1e-9) && same_angle(w[0].angle_rad, 0.2, 1e-9),
         "one plane, phase lag", "other figures");
}

static double drills[2] = {0.010, 0.016};
static struct swept_slug slugs[2] = {{0.018, 0.010}, {0.018, 0.020}};
static struct swept_drill_site sites[2];
static struct swept_drilled_hole there;
static struct swept_drill_task task;
static struct swept_drill_step steps[12];
static struct swept_drill_plan plan;
static size_t count;

/* A counterweight of 100 deg about zero in plane A, 900 g mm heavy at 20 deg; the other plane has nothing. */
static void set_up(void) {
    static const struct swept_drill_plane at_a = {0.03, 900e-6, 20.0 * DEG, 10e-6, 70e-6};
    static const struct swept_drill_plane at_b = {0.5, 0.0, 0.0, 10e-6, 70e-6};
    struct swept_drill_site s;
    memset(&s, 0, sizeof s), memset(&task, 0, sizeof task), memset(&there, 0, sizeof there);
    s.cheek = "1", s.position_m = 0.03, s.from_rad = -50.0 * DEG, s.to_rad = 50.0 * DEG, s.step_rad = 5.0 * DEG;
    s.radius_m = 0.082, s.web_m = 0.004, s.density_kg_m3 = 7200.0, s.width_m = 0.024, s.point_rad = 118.0 * DEG;
    s.drills_m = drills, s.drill_count = 2, s.least_depth_m = 0.008, s.greatest_depth_m = 0.035, s.depth_step_m = 0.001;
    sites[0] = sites[1] = s;
    sites[1].axial = 1, sites[1].radius_m = 0.066, sites[1].slugs = slugs, sites[1].slug_count = 2;
    sites[1].slug_density_kg_m3 = 17000.0, sites[1].point_rad = nan_value;
    there.cheek = "1", there.position_m = 0.03, there.angle_rad = 20.0 * DEG, there.radius_m = 0.082;
    there.diameter_m = 0.016, there.depth_m = 0.02;
    task.first = at_a, task.second = at_b, task.sites = sites, task.site_count = 1, task.guard = nan_value;
}

#define PLAN() swept_plan_drilling(&task, steps, 12, &count, &plan)

/* What each step leaves, from the hole's cylinder and cone. */
static void promised(const char *what, const char *call) {
    double re = task.first.unbalance_kg_m * cos(task.first.heavy_at_rad), im = task.first.unbalance_kg_m * sin(task.first.heavy_at_rad);
    double removed = 0.0;
    size_t i;
    told(count > 0 && count <= 12 && count == plan.least_holes && plan.proved == 1, call, what);
    if (count > 12) return;
    for (i = 0; i < count; i++) {
        const struct swept_drill_step *s = &steps[i];
        double area = PI / 4.0 * s->diameter_m * s->diameter_m, sign = s->slug_kg > 0.0 ? 1.0 : -1.0, amount, mass;
        if (s->slug_kg > 0.0) {
            mass = 7200.0 * area * s->depth_m;
            amount = (17000.0 - 7200.0) * area * s->depth_m * 0.066;
            told(close_to(s->slug_kg, 17000.0 * area * s->depth_m, 1e-9), call, "another slug");
        } else {
            double cone = s->diameter_m / 2.0 / tan(59.0 * DEG);
            mass = 7200.0 * area * (s->depth_m + cone / 3.0);
            amount = 7200.0 * area * (s->depth_m * (0.082 - s->depth_m / 2.0) + cone / 3.0 * (0.082 - s->depth_m - cone / 4.0));
        }
        re += sign * amount * cos(s->angle_rad), im += sign * amount * sin(s->angle_rad), removed += mass;
        told(close_to(s->amount_kg_m, amount, 1e-6) && close_to(s->removed_kg, mass, 1e-6), call, "another hole");
        told(fabs(s->first_left_kg_m - sqrt(re * re + im * im)) < 1e-9 && s->second_left_kg_m < 1e-12, call, "something else is left");
    }
    told(steps[count - 1].inside == 1 && steps[count - 1].first_left_kg_m <= 53.5e-6 + 1e-12, call, "not inside");
    told(close_to(plan.first_guarded_kg_m, 53.5e-6, 1e-9) && close_to(plan.removed_kg, removed, 1e-6) &&
             close_to(plan.least_metal_kg, removed, 1e-6), call, "another sum");
}

static void drilling(void) {
    size_t i;
    set_up();
    told(PLAN() == SWEPT_OK && plan.slugs_kg == 0.0, "swept_plan_drilling", "no plan");
    promised("not proved", "drilling");
    task.drilled = &there, task.drilled_count = 1;
    told(PLAN() == SWEPT_OK, "a hole is there", "no plan");
    promised("not proved", "a hole is there");
    for (i = 0; i < count && i < 12; i++)
        told(2.0 * 0.082 * sin(fabs(steps[i].angle_rad - 20.0 * DEG) / 2.0) > 0.008 + 0.005 + 0.004, "a hole is there", "into it");
    set_up();
    task.first.heavy_at_rad = PI, task.first.unbalance_kg_m = 2000e-6;
    count = 99;
    REFUSES(PLAN(), SWEPT_NO_SOLUTION);
    told(strstr(swept_last_error_message(), "only adding mass opposite can serve") != NULL && count == 99, "no site helps", "another message");
    task.site_count = 2;
    told(PLAN() == SWEPT_OK && plan.slugs_kg > 0.0 && steps[0].site == 1, "slugs", "no plan");
    promised("not proved", "slugs");
    set_up();
    task.first.unbalance_kg_m = 20e-6;
    count = 99;
    told(swept_plan_drilling(&task, NULL, 0, &count, &plan) == SWEPT_OK && count == 0 && plan.removed_kg == 0.0, "inside already", "holes");
}

static void nearest(void) {
    struct swept_drill_shortfall s;
    double factor;
    memset(&s, 0, sizeof s);
    set_up();
    count = 99, s.only_drilling = -7;
    REFUSES(swept_nearest_drilling(&task, steps, 12, &count, &s), SWEPT_NO_SOLUTION);
    told(count == 99 && s.only_drilling == -7 && strstr(swept_last_error_message(), "there is a plan") != NULL, "a plan", "written all the same");
    REFUSES(swept_nearest_drilling(NULL, steps, 12, &count, &s), SWEPT_NULL_POINTER);
    REFUSES(swept_nearest_drilling(&task, NULL, 12, &count, &s), SWEPT_NULL_POINTER);
    REFUSES(swept_nearest_drilling(&task, steps, 12, NULL, &s), SWEPT_NULL_POINTER);
    REFUSES(swept_nearest_drilling(&task, steps, 12, &count, NULL), SWEPT_NULL_POINTER);
    task.first.unbalance_kg_m = 40000e-6;
    REFUSES(PLAN(), SWEPT_NO_SOLUTION);
    REFUSES(swept_nearest_drilling(&task, steps, 0, &count, &s), SWEPT_WRONG_LENGTH);
    told(swept_nearest_drilling(&task, steps, 12, &count, &s) == SWEPT_OK && count > 0 && s.only_drilling == 1, "swept_nearest_drilling", "no holes");
    if (count < 1 || count > 12) return;
    factor = steps[count - 1].first_left_kg_m / s.first_guarded_kg_m;
    if (steps[count - 1].second_left_kg_m / s.second_guarded_kg_m > factor) factor = steps[count - 1].second_left_kg_m / s.second_guarded_kg_m;
    told(fabs(factor - s.nearest_factor) < 1e-9 * factor && s.least_factor > 1.0 && s.least_factor <= s.nearest_factor, "nearest", "other factors");
    told(s.first_least_kg_m > s.first_guarded_kg_m && steps[count - 1].inside == 0, "nearest", "other figures");
}

#define SPOILS(change, status) do { set_up(); change; REFUSES(PLAN(), status); } while (0)
#define SPOILS_BOTH(place)                                                                 \
    do {                                                                                   \
        SPOILS(place = nan_value, SWEPT_NOT_FINITE);                                       \
        SPOILS(place = HUGE_VAL, SWEPT_NOT_FINITE);                                        \
    } while (0)
#define SPOILS_HOLE(place)                                                                 \
    do {                                                                                   \
        SPOILS((task.drilled = &there, task.drilled_count = 1, place = nan_value), SWEPT_NOT_FINITE); \
        SPOILS((task.drilled = &there, task.drilled_count = 1, place = HUGE_VAL), SWEPT_NOT_FINITE); \
    } while (0)

static void hostile_figures(void) {
    SPOILS_BOTH(task.first.position_m);
    SPOILS_BOTH(task.first.unbalance_kg_m);
    SPOILS_BOTH(task.second.heavy_at_rad);
    SPOILS_BOTH(task.second.uncertainty_kg_m);
    SPOILS_BOTH(task.second.limit_kg_m);
    SPOILS_BOTH(sites[0].position_m);
    SPOILS_BOTH(sites[0].from_rad);
    SPOILS_BOTH(sites[0].to_rad);
    SPOILS_BOTH(sites[0].step_rad);
    SPOILS_BOTH(sites[0].radius_m);
    SPOILS_BOTH(sites[0].web_m);
    SPOILS_BOTH(sites[0].density_kg_m3);
    SPOILS_BOTH(sites[0].point_rad);
    SPOILS_BOTH(sites[0].least_depth_m);
    SPOILS_BOTH(sites[0].greatest_depth_m);
    SPOILS_BOTH(sites[0].depth_step_m);
    SPOILS((task.site_count = 2, sites[1].slug_density_kg_m3 = nan_value), SWEPT_NOT_FINITE);
    SPOILS((task.site_count = 2, slugs[1].length_m = nan_value), SWEPT_NOT_FINITE);
    slugs[1].length_m = 0.020;
    SPOILS_HOLE(there.position_m);
    SPOILS_HOLE(there.angle_rad);
    SPOILS_HOLE(there.radius_m);
    SPOILS_HOLE(there.diameter_m);
    SPOILS_HOLE(there.depth_m);
    SPOILS(sites[0].width_m = HUGE_VAL, SWEPT_NOT_FINITE);
    SPOILS(task.guard = HUGE_VAL, SWEPT_NOT_FINITE);
    NOT_A_NUMBER(drills[1], PLAN());
    drills[1] = -0.016;
    SPOILS((void)0, SWEPT_OUT_OF_RANGE);
    drills[1] = 0.016;
    SPOILS(sites[0].axial = 2, SWEPT_OUT_OF_RANGE);
    SPOILS(task.guard = -1.0, SWEPT_OUT_OF_RANGE);
    SPOILS(task.guard = 7.0, SWEPT_OUT_OF_RANGE);
    SPOILS(task.most_holes = 13, SWEPT_OUT_OF_RANGE);
    SPOILS(task.most_holes = HUGE_COUNT, SWEPT_OUT_OF_RANGE);
    SPOILS(task.second.position_m = 0.03, SWEPT_OUT_OF_RANGE);
    SPOILS((task.site_count = 2, sites[1].axial = 0), SWEPT_OUT_OF_RANGE);
}

static void hostile_drilling(void) {
    plan.proved = -7, count = 99, steps[0].inside = -7;
    hostile_figures();
    SPOILS(task.sites = NULL, SWEPT_NULL_POINTER);
    SPOILS(sites[0].cheek = NULL, SWEPT_NULL_POINTER);
    SPOILS(sites[0].cheek = "\xff", SWEPT_NOT_UTF8);
    SPOILS(sites[0].drills_m = NULL, SWEPT_NULL_POINTER);
    SPOILS((task.site_count = 2, sites[1].slugs = NULL), SWEPT_NULL_POINTER);
    SPOILS(task.drilled_count = 1, SWEPT_NULL_POINTER);
    SPOILS((task.drilled = &there, task.drilled_count = 1, there.cheek = NULL), SWEPT_NULL_POINTER);
    SPOILS((task.drilled = &there, task.drilled_count = 1, there.axial = -1), SWEPT_OUT_OF_RANGE);
    SPOILS(task.site_count = 0, SWEPT_WRONG_LENGTH);
    SPOILS(task.site_count = HUGE_COUNT, SWEPT_WRONG_LENGTH);
    SPOILS(sites[0].drill_count = 0, SWEPT_WRONG_LENGTH);
    SPOILS(sites[0].drill_count = HUGE_COUNT, SWEPT_WRONG_LENGTH);
    SPOILS(sites[0].slug_count = HUGE_COUNT / 2, SWEPT_NULL_POINTER);
    SPOILS((task.site_count = 2, sites[1].slug_count = HUGE_COUNT), SWEPT_WRONG_LENGTH);
    SPOILS((task.drilled = &there, task.drilled_count = HUGE_COUNT), SWEPT_WRONG_LENGTH);
    set_up();
    REFUSES(swept_plan_drilling(&task, NULL, 0, &count, &plan), SWEPT_WRONG_LENGTH);
    REFUSES(swept_plan_drilling(NULL, steps, 12, &count, &plan), SWEPT_NULL_POINTER);
    REFUSES(swept_plan_drilling(&task, NULL, 12, &count, &plan), SWEPT_NULL_POINTER);
    REFUSES(swept_plan_drilling(&task, steps, 12, NULL, &plan), SWEPT_NULL_POINTER);
    REFUSES(swept_plan_drilling(&task, steps, 12, &count, NULL), SWEPT_NULL_POINTER);
    told(plan.proved == -7 && count == 99 && steps[0].inside == -7, "swept_plan_drilling", "written though refused");
}

static void cautions(void) {
    const char *text = NULL;
    size_t i, n = swept_drill_caution_count();
    told(n >= 5, "swept_drill_caution_count", "too few");
    for (i = 0; i < n; i++) told(swept_drill_caution(i, &text) == SWEPT_OK && strlen(text) > 20, "swept_drill_caution", "no text");
    REFUSES(swept_drill_caution(n, &text), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_drill_caution(HUGE_COUNT, &text), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_drill_caution(0, NULL), SWEPT_NULL_POINTER);
}

int main(void) {
    nan_value = strtod("nan", NULL);
    hostile_trials();
    two_planes();
    known_coefficients();
    one_plane();
    hostile_drilling();
    drilling();
    nearest();
    cautions();
    if (failures) return 1;
    puts("C: trial weights and drilling as their formulas, every bad number, text, count and pointer refused");
    return 0;
}
