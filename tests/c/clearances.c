/* Fits, growth with heat, press fits and bearing shells: values against closed forms, then bad pointers, numbers, texts and counts. */
#include "check.h"
#include <string.h>

static char long_text[100000];

/* A call with a text: null, no UTF-8, a text that is none of those known, an empty and a very long one. */
#define TEXT(call_of, unknown)                                                             \
    do {                                                                                   \
        REFUSES(call_of(NULL), SWEPT_NULL_POINTER);                                        \
        REFUSES(call_of("\xff\xfe"), SWEPT_NOT_UTF8);                                      \
        REFUSES(call_of("cheese"), unknown);                                               \
        REFUSES(call_of(""), unknown);                                                     \
        REFUSES(call_of(long_text), unknown);                                              \
        told(strlen(swept_last_error_message()) < 1000, #call_of, "a message as long as the text"); \
    } while (0)

static void fits(void) {
    double x[1] = {0.04};
    OF_2(swept_pin_clearance, 0.02197, 0.021998, -0.000028);
    OF_3(swept_back_clearance, 0.086, 0.0784, 0.0033, 0.0005);
    OF_3(swept_ring_wall_pressure, 15.0, 0.086, 0.0015, 2.0 * 15.0 / (0.086 * 0.0015));
    REFUSES(swept_pin_clearance(0.0, 0.022, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_back_clearance(0.086, 0.0784, -0.0033, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_ring_wall_pressure(15.0, 0.086, 0.0, &out), SWEPT_OUT_OF_RANGE);
    GIVES(swept_iso_standard_tolerance(x[0], 7, &out), 25e-6);
    NUMBERS_1(swept_iso_standard_tolerance(x[0], 7, &out));
    REFUSES(swept_iso_standard_tolerance(x[0], 7, NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_iso_standard_tolerance(x[0], 4, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_iso_standard_tolerance(x[0], -7, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_iso_standard_tolerance(x[0], 263, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_iso_standard_tolerance(0.316, 7, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_iso_standard_tolerance(0.0, 7, &out), SWEPT_OUT_OF_RANGE);
    GIVES_TWO(swept_iso_deviations("p6", x[0], &out, &second), 26e-6, 42e-6);
    GIVES_TWO(swept_iso_deviations("H7", x[0], &out, &second), 0.0, 25e-6);
    NUMBERS_1(swept_iso_deviations("H7", x[0], &out, &second));
    REFUSES(swept_iso_deviations("H7", x[0], NULL, &second), SWEPT_NULL_POINTER);
    REFUSES(swept_iso_deviations("H7", x[0], &out, NULL), SWEPT_NULL_POINTER);
#define CALL(name) swept_iso_deviations(name, x[0], &out, &second)
    TEXT(CALL, SWEPT_UNREADABLE);
#undef CALL
    GIVES_TWO(swept_iso_fit("25 H7/g6", &out, &second), 7e-6, 41e-6);
    REFUSES(swept_iso_fit("25 H7/g6", NULL, &second), SWEPT_NULL_POINTER);
    REFUSES(swept_iso_fit("25 H7/g6", &out, NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_iso_fit("nan H7/g6", &out, &second), SWEPT_NOT_FINITE);
    REFUSES(swept_iso_fit("400 H7/g6", &out, &second), SWEPT_OUT_OF_RANGE);
#define CALL(name) swept_iso_fit(name, &out, &second)
    TEXT(CALL, SWEPT_UNREADABLE);
#undef CALL
}

static void materials(void) {
    const char *name = NULL;
    size_t i, count = swept_material_count();
    told(count >= 10, "swept_material_count", "too few");
    for (i = 0; i < count; i++) {
        told(swept_material_name(i, &name) == SWEPT_OK && strlen(name) > 3, "swept_material_name", "no name");
        told(swept_material_elastic(name, &out, &second) == SWEPT_OK && out > 5e10 && second < 0.4, name, "not elastic");
        told(swept_mean_expansion(name, 293.15, &out) == SWEPT_OK && out > 5e-6, name, "does not grow");
        told(swept_material_source(i, &name) == SWEPT_OK && strlen(name) > 10, "swept_material_source", "no source");
    }
    told(swept_material_name(0, &name) == SWEPT_OK && !strcmp(name, "grey iron"), "swept_material_name", "another first");
    REFUSES(swept_material_name(count, &name), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_material_name((size_t)-1, &name), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_material_source(count, &name), SWEPT_OUT_OF_RANGE);
    told(!strcmp(name, "grey iron"), "swept_material_name", "written though refused");
    REFUSES(swept_material_name(0, NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_material_source(0, NULL), SWEPT_NULL_POINTER);
}

static void heat(void) {
    double x[3] = {0.08644, 293.15, 473.15};
    const char *alloy = "aluminium 4032";
    GIVES_TWO(swept_material_elastic("steel 1020", &out, &second), 207e9, 0.3);
    REFUSES(swept_material_elastic(alloy, NULL, &second), SWEPT_NULL_POINTER);
    REFUSES(swept_material_elastic(alloy, &out, NULL), SWEPT_NULL_POINTER);
    GIVES(swept_mean_expansion(alloy, x[2], &out), 20.2e-6);
    GIVES_TWO(swept_mean_expansion_range("grey iron", 373.15, &out, &second), 10.5e-6, 10.8e-6);
    GIVES(swept_thermal_strain(alloy, x[2], &out), 20.2e-6 * 180.0);
    GIVES(swept_at_temperature(alloy, x[0], x[1], x[2], &out), 0.08644 * (1.0 + 20.2e-6 * 180.0));
    NUMBERS_3(swept_at_temperature(alloy, x[0], x[1], x[2], &out));
    NOT_A_NUMBER(x[2], swept_mean_expansion(alloy, x[2], &out));
    NOT_A_NUMBER(x[2], swept_mean_expansion_range(alloy, x[2], &out, &second));
    NOT_A_NUMBER(x[2], swept_thermal_strain(alloy, x[2], &out));
    REFUSES(swept_mean_expansion("aluminium 7075", 400.0, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_mean_expansion_range(alloy, 273.0, &out, &second), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_thermal_strain(alloy, -1.0, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_at_temperature(alloy, x[0], 2000.0, x[2], &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_mean_expansion(alloy, x[2], NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_mean_expansion_range(alloy, x[2], NULL, &second), SWEPT_NULL_POINTER);
    REFUSES(swept_mean_expansion_range(alloy, x[2], &out, NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_thermal_strain(alloy, x[2], NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_at_temperature(alloy, x[0], x[1], x[2], NULL), SWEPT_NULL_POINTER);
#define CALL(name) swept_material_elastic(name, &out, &second)
    TEXT(CALL, SWEPT_OUT_OF_RANGE);
#undef CALL
#define CALL(name) swept_mean_expansion(name, x[2], &out)
    TEXT(CALL, SWEPT_OUT_OF_RANGE);
#undef CALL
#define CALL(name) swept_mean_expansion_range(name, x[2], &out, &second)
    TEXT(CALL, SWEPT_OUT_OF_RANGE);
#undef CALL
#define CALL(name) swept_thermal_strain(name, x[2], &out)
    TEXT(CALL, SWEPT_OUT_OF_RANGE);
#undef CALL
#define CALL(name) swept_at_temperature(name, x[0], x[1], x[2], &out)
    TEXT(CALL, SWEPT_OUT_OF_RANGE);
#undef CALL
    OF_4(swept_hot_end_gap, 0.0004, 0.1, 0.0018, 0.0003, 0.0004 + PI * 0.1 * (0.0003 - 0.0018));
    OF_3(swept_heating_for, 0.0003, 0.127, 11.7e-6, 0.0003 / (0.127 * 11.7e-6));
    REFUSES(swept_heating_for(0.0003, 0.127, 0.0, &out), SWEPT_OUT_OF_RANGE);
}

static struct swept_press_fit seat = {0.030, 0.040, 2e11, 0.3, 0.040, 0.060, 2e11, 0.3, 4e-5};

#define SEAT(call)                                                                         \
    do {                                                                                   \
        NOT_A_NUMBER(seat.inner_bore_m, call);                                             \
        NOT_A_NUMBER(seat.inner_outside_m, call);                                          \
        NOT_A_NUMBER(seat.inner_young_pa, call);                                           \
        NOT_A_NUMBER(seat.inner_poisson, call);                                            \
        NOT_A_NUMBER(seat.outer_bore_m, call);                                             \
        NOT_A_NUMBER(seat.outer_outside_m, call);                                          \
        NOT_A_NUMBER(seat.outer_young_pa, call);                                           \
        NOT_A_NUMBER(seat.outer_poisson, call);                                            \
        NOT_A_NUMBER(seat.interference_m, call);                                           \
    } while (0)
#define OF_SEAT_2(f, a, b, expected)                                                       \
    do {                                                                                   \
        double x[2] = {a, b};                                                              \
        GIVES(f(&seat, x[0], x[1], &out), expected);                                       \
        REFUSES(f(NULL, x[0], x[1], &out), SWEPT_NULL_POINTER);                            \
        REFUSES(f(&seat, x[0], x[1], NULL), SWEPT_NULL_POINTER);                           \
        SEAT(f(&seat, x[0], x[1], &out));                                                  \
        NUMBERS_2(f(&seat, x[0], x[1], &out));                                             \
    } while (0)

static void stresses(double p) {
    struct swept_press_stresses s = {-7.0, -7.0, -7.0, -7.0};
    double a2 = 9e-4, d2 = 16e-4, b2 = 36e-4;
    SEAT(swept_press_fit_stresses(&seat, &s));
    REFUSES(swept_press_fit_stresses(NULL, &s), SWEPT_NULL_POINTER);
    REFUSES(swept_press_fit_stresses(&seat, NULL), SWEPT_NULL_POINTER);
    told(s.inner_at_bore_pa == -7.0 && s.outer_at_outside_pa == -7.0, "swept_press_fit_stresses", "written though refused");
    told(swept_press_fit_stresses(&seat, &s) == SWEPT_OK, "swept_press_fit_stresses", "refused");
    told(near(s.inner_at_bore_pa, -2.0 * p * d2 / (d2 - a2)), "inner_at_bore_pa", "another figure");
    told(near(s.inner_at_contact_pa, -p * (d2 + a2) / (d2 - a2)), "inner_at_contact_pa", "another figure");
    told(near(s.outer_at_contact_pa, p * (b2 + d2) / (b2 - d2)), "outer_at_contact_pa", "another figure");
    told(near(s.outer_at_outside_pa, 2.0 * p * d2 / (b2 - d2)), "outer_at_outside_pa", "another figure");
    GIVES_TWO(swept_press_fit_equivalent_stresses(&seat, &out, &second), 2.0 * p * d2 / (d2 - a2), 2.0 * p * b2 / (b2 - d2));
    SEAT(swept_press_fit_equivalent_stresses(&seat, &out, &second));
    REFUSES(swept_press_fit_equivalent_stresses(NULL, &out, &second), SWEPT_NULL_POINTER);
    REFUSES(swept_press_fit_equivalent_stresses(&seat, NULL, &second), SWEPT_NULL_POINTER);
    REFUSES(swept_press_fit_equivalent_stresses(&seat, &out, NULL), SWEPT_NULL_POINTER);
}

static void press(void) {
    /* One material: p = E delta / d x (d2 - a2) (b2 - d2) / (2 d2 (b2 - a2)), from the diameters squared. */
    double p = 2e11 * 4e-5 / 0.040 * (7e-4 * 20e-4) / (2.0 * 16e-4 * 27e-4), x[4] = {21e-6, 100.0, 11e-6, 150.0};
    struct swept_press_fit bad = seat;
    GIVES(swept_press_fit_pressure(&seat, &out), p);
    SEAT(swept_press_fit_pressure(&seat, &out));
    REFUSES(swept_press_fit_pressure(NULL, &out), SWEPT_NULL_POINTER);
    REFUSES(swept_press_fit_pressure(&seat, NULL), SWEPT_NULL_POINTER);
    bad.interference_m = -1e-6;
    REFUSES(swept_press_fit_pressure(&bad, &out), SWEPT_OUT_OF_RANGE);
    bad = seat;
    bad.inner_bore_m = 0.05;
    REFUSES(swept_press_fit_pressure(&bad, &out), SWEPT_OUT_OF_RANGE);
    told(!strcmp(swept_last_error_field(), "inner part"), "swept_press_fit_pressure", "another field");
    bad = seat;
    bad.outer_poisson = 0.5;
    REFUSES(swept_press_fit_pressure(&bad, &out), SWEPT_OUT_OF_RANGE);
    told(!strcmp(swept_last_error_field(), "outer part"), "swept_press_fit_pressure", "another field");
    bad = seat;
    bad.inner_bore_m = 0.0;
    told(swept_press_fit_pressure(&bad, &out) == SWEPT_OK && out > p, "swept_press_fit_pressure", "a solid shaft is no stiffer");
    stresses(p);
    OF_SEAT_2(swept_press_fit_holding_force, 0.05, 0.1, 0.1 * p * PI * 0.040 * 0.05);
    OF_SEAT_2(swept_press_fit_holding_torque, 0.05, 0.1, 0.1 * p * PI * 0.040 * 0.05 * 0.020);
    OF_SEAT_2(swept_press_fit_assembly_temperature, 2e-5, 11e-6, 6e-5 / (0.040 * 11e-6));
    REFUSES(swept_press_fit_holding_force(&seat, 0.0, 0.1, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_press_fit_holding_torque(&seat, 0.05, -0.1, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_press_fit_assembly_temperature(&seat, -1e-6, 11e-6, &out), SWEPT_OUT_OF_RANGE);
    GIVES(swept_press_fit_warmed_interference(&seat, x[0], x[1], x[2], x[3], &out), 4e-5 - 0.040 * (21e-4 - 16.5e-4));
    NUMBERS_4(swept_press_fit_warmed_interference(&seat, x[0], x[1], x[2], x[3], &out));
    SEAT(swept_press_fit_warmed_interference(&seat, x[0], x[1], x[2], x[3], &out));
    REFUSES(swept_press_fit_warmed_interference(&seat, x[0], 300.0, x[2], x[3], &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_press_fit_warmed_interference(NULL, x[0], x[1], x[2], x[3], &out), SWEPT_NULL_POINTER);
    REFUSES(swept_press_fit_warmed_interference(&seat, x[0], x[1], x[2], x[3], NULL), SWEPT_NULL_POINTER);
}

static void shells(void) {
    OF_3(swept_shell_wall, 0.002, 2e-5, PI / 3.0, 0.00199);
    OF_3(swept_shell_offset, 0.002, 0.00199, PI / 3.0, 2e-5);
    OF_2(swept_crush_interference, 4e-5, 5e-5, 9e-5 / PI);
    REFUSES(swept_shell_wall(0.002, -1e-6, 0.0, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_shell_wall(0.002, 2e-5, 1.6, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_shell_wall(0.002, 0.1, 1.5, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_shell_offset(0.002, 0.00199, 0.0, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_crush_interference(-1e-6, 5e-5, &out), SWEPT_OUT_OF_RANGE);
}

static void selection(void) {
    double housings[3] = {0.059, 0.059, 0.059}, journals[3] = {0.05496, 0.054956, 0.054954}, x[1] = {42e-6};
    double grades[3] = {0.001998, 0.002, 0.002002}, clearances[3] = {-7.0, -7.0, -7.0};
    size_t uppers[3] = {99, 99, 99}, lowers[3] = {99, 99, 99}, i;
#define CHOOSE(h, j, n, u, nu, l, nl) \
    swept_select_shells(h, j, n, u, nu, l, nl, x[0], uppers, lowers, clearances, &out, &second)
#define INTO(u, l, c, d, s) swept_select_shells(housings, journals, 3, grades, 3, grades, 3, x[0], u, l, c, d, s)
    REFUSES(CHOOSE(NULL, journals, 3, grades, 3, grades, 3), SWEPT_NULL_POINTER);
    REFUSES(CHOOSE(housings, NULL, 3, grades, 3, grades, 3), SWEPT_NULL_POINTER);
    REFUSES(CHOOSE(housings, journals, 3, NULL, 3, grades, 3), SWEPT_NULL_POINTER);
    REFUSES(CHOOSE(housings, journals, 3, grades, 3, NULL, 3), SWEPT_NULL_POINTER);
    REFUSES(CHOOSE(housings, journals, 0, grades, 3, grades, 3), SWEPT_WRONG_LENGTH);
    REFUSES(CHOOSE(housings, journals, 3, grades, 0, grades, 3), SWEPT_WRONG_LENGTH);
    REFUSES(CHOOSE(housings, journals, 3, grades, 3, NULL, 0), SWEPT_WRONG_LENGTH);
    REFUSES(CHOOSE(housings, journals, (size_t)-1, grades, 3, grades, 3), SWEPT_WRONG_LENGTH);
    REFUSES(CHOOSE(housings, journals, 3, grades, (size_t)-1, grades, 3), SWEPT_WRONG_LENGTH);
    REFUSES(INTO(NULL, lowers, clearances, &out, &second), SWEPT_NULL_POINTER);
    REFUSES(INTO(uppers, NULL, clearances, &out, &second), SWEPT_NULL_POINTER);
    REFUSES(INTO(uppers, lowers, NULL, &out, &second), SWEPT_NULL_POINTER);
    REFUSES(INTO(uppers, lowers, clearances, NULL, &second), SWEPT_NULL_POINTER);
    REFUSES(INTO(uppers, lowers, clearances, &out, NULL), SWEPT_NULL_POINTER);
    NOT_A_NUMBER(housings[2], CHOOSE(housings, journals, 3, grades, 3, grades, 3));
    NOT_A_NUMBER(journals[0], CHOOSE(housings, journals, 3, grades, 3, grades, 3));
    NOT_A_NUMBER(grades[1], CHOOSE(housings, journals, 3, grades, 3, grades, 3));
    NUMBERS_1(CHOOSE(housings, journals, 3, grades, 3, grades, 3));
    housings[0] = grades[0] = 1.7e308;
    grades[1] = 1.7e308;
    REFUSES(CHOOSE(housings, journals, 1, grades, 2, grades, 2), SWEPT_NOT_FINITE);
    housings[0] = 0.059, grades[0] = 0.001998, grades[1] = 0.002;
    for (i = 0; i < 3; i++)
        told(clearances[i] == -7.0 && uppers[i] == 99 && lowers[i] == 99, "swept_select_shells", "written though refused");
    told(CHOOSE(housings, journals, 3, grades, 3, grades, 3) == SWEPT_OK && out < 1e-12 && second < 1e-12,
         "swept_select_shells", "off the target");
    for (i = 0; i < 3; i++) {
        told(uppers[i] < 3 && lowers[i] < 3, "swept_select_shells", "no such grade");
        if (uppers[i] > 2 || lowers[i] > 2) return;
        told(near(clearances[i], housings[i] - grades[uppers[i]] - grades[lowers[i]] - journals[i]) && near(clearances[i], 42e-6),
             "swept_select_shells", "another clearance");
    }
}

static void survey(void) {
    double angles[3] = {0.5, 1.5, 2.5}, stations[2] = {0.0, 0.01};
    double d[6] = {0.059010, 0.059002, 0.059006, 0.059013, 0.059004, 0.059008};
    struct swept_survey s = {-7.0, -7.0, -7.0, -7.0, -7.0};
    NOT_A_NUMBER(angles[2], swept_diameter_survey(angles, 3, stations, 2, d, &s));
    NOT_A_NUMBER(stations[0], swept_diameter_survey(angles, 3, stations, 2, d, &s));
    NOT_A_NUMBER(d[5], swept_diameter_survey(angles, 3, stations, 2, d, &s));
    REFUSES(swept_diameter_survey(NULL, 3, stations, 2, d, &s), SWEPT_NULL_POINTER);
    REFUSES(swept_diameter_survey(angles, 3, NULL, 2, d, &s), SWEPT_NULL_POINTER);
    REFUSES(swept_diameter_survey(angles, 3, stations, 2, NULL, &s), SWEPT_NULL_POINTER);
    REFUSES(swept_diameter_survey(angles, 3, stations, 2, d, NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_diameter_survey(angles, 0, stations, 2, d, &s), SWEPT_WRONG_LENGTH);
    REFUSES(swept_diameter_survey(angles, 3, NULL, 0, NULL, &s), SWEPT_WRONG_LENGTH);
    REFUSES(swept_diameter_survey(angles, (size_t)-1, stations, 2, d, &s), SWEPT_WRONG_LENGTH);
    REFUSES(swept_diameter_survey(angles, 3, stations, (size_t)-1 / 16, d, &s), SWEPT_WRONG_LENGTH);
    told(s.least_m == -7.0 && s.taper_m == -7.0, "swept_diameter_survey", "written though refused");
    told(swept_diameter_survey(angles, 3, stations, 2, d, &s) == SWEPT_OK, "swept_diameter_survey", "refused");
    told(s.least_m == d[1] && s.greatest_m == d[3], "swept_diameter_survey", "other extremes");
    told(near(s.mean_m, (d[0] + d[1] + d[2] + d[3] + d[4] + d[5]) / 6.0), "swept_diameter_survey", "another mean");
    told(near(s.out_of_round_m, 9e-6) && near(s.taper_m, 3e-6), "swept_diameter_survey", "another form");
}

static void matching(void) {
    /* Two places: parts 0 and 1 fit the wrong way round as they came. */
    const size_t depends[1] = {0};
    const double values[4] = {0.050, 0.040, 0.040, 0.030};
    struct swept_matched_figure f = {depends, 1, values, 4, nan_value, nan_value};
    size_t parts[2] = {9, 9};
    double spread = -7.0, bound = -7.0;
    int32_t proved = -7;
#define MATCH(n, t, figures, count) swept_match_parts(n, t, figures, count, 0, parts, &spread, &bound, &proved)
    told(MATCH(2, 1, &f, 1) == SWEPT_OK && parts[0] == 1 && parts[1] == 0 && near(spread, 0.0) && proved == 1, "swept_match_parts",
         "not the best order");
    proved = -7;
    REFUSES(MATCH(2, 1, NULL, 1), SWEPT_NULL_POINTER);
    REFUSES(swept_match_parts(2, 1, &f, 1, 0, NULL, &spread, &bound, &proved), SWEPT_NULL_POINTER);
    REFUSES(swept_match_parts(2, 1, &f, 1, 0, parts, &spread, &bound, NULL), SWEPT_NULL_POINTER);
    REFUSES(MATCH(0, 1, &f, 1), SWEPT_WRONG_LENGTH);
    REFUSES(MATCH(3, 1, &f, 1), SWEPT_WRONG_LENGTH);
    REFUSES(MATCH(2, 9, &f, 1), SWEPT_OUT_OF_RANGE);
    REFUSES(MATCH((size_t)-1, 1, &f, 1), SWEPT_WRONG_LENGTH);
    f.values_count = 3;
    REFUSES(MATCH(2, 1, &f, 1), SWEPT_WRONG_LENGTH);
    f.values_count = 4;
    f.lower = 0.045;
    REFUSES(MATCH(2, 1, &f, 1), SWEPT_OUT_OF_RANGE);
    f.lower = HUGE_VAL;
    REFUSES(MATCH(2, 1, &f, 1), SWEPT_NOT_FINITE);
    told(proved == -7, "swept_match_parts", "written though refused");
#undef MATCH
}

static void stacks(void) {
    const char *document =
        "schema = 1\nengine.cylinders = 1\nblock.bore = \"86 mm\"\ncrank.stroke = \"86 mm\"\nrods.length = \"148 mm\"\n"
        "pistons.diameter = \"85.94 mm\"\n[tolerances]\n\"block.bore\" = \"+/- 0.01 mm\"\n";
    const size_t length = strlen(document);
    char *json = NULL;
#define STACK(what, place, trials, rectangular) \
    swept_build_tolerance_stack_json(document, length, what, place, trials, rectangular, &json)
    told(STACK("piston_to_wall", 1, 1000, 0) == SWEPT_OK && strstr(json, "0.070 mm") != NULL, "swept_build_tolerance_stack_json",
         "another worst case");
    swept_string_free(json);
    json = NULL;
    REFUSES(STACK("piston_to_wal", 1, 1000, 0), SWEPT_UNKNOWN_KEY);
    REFUSES(STACK(NULL, 1, 1000, 0), SWEPT_NULL_POINTER);
    REFUSES(STACK("piston_to_wall", 0, 1000, 0), SWEPT_OUT_OF_RANGE);
    REFUSES(STACK("piston_to_wall", 2, 1000, 0), SWEPT_OUT_OF_RANGE);
    REFUSES(STACK("piston_to_wall", 1, 1, 0), SWEPT_OUT_OF_RANGE);
    REFUSES(STACK("piston_to_wall", 1, 1000, 2), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_build_tolerance_stack_json(document, length, "piston_to_wall", 1, 1000, 0, NULL), SWEPT_NULL_POINTER);
    told(json == NULL, "swept_build_tolerance_stack_json", "written though refused");
#undef STACK
}

int main(void) {
    nan_value = strtod("nan", NULL);
    memset(long_text, 'x', sizeof long_text - 1);
    fits();
    materials();
    heat();
    press();
    shells();
    selection();
    survey();
    matching();
    stacks();
    if (failures) return 1;
    puts("C: fits, heat, press fits, shells, matching and stacks as their formulas, every bad number, text, count and pointer refused");
    return 0;
}
