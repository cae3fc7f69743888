/* What a hostile or hasty caller would do: every call refuses it with a status, and writes nothing. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <swept.h>

static int failures = 0;

#define EXPECT(condition)                                                                  \
    do {                                                                                   \
        if (!(condition)) {                                                                \
            fprintf(stderr, "%s:%d: not so: %s (%s)\n", __FILE__, __LINE__, #condition,    \
                    swept_last_error_message());                                           \
            failures++;                                                                    \
        }                                                                                  \
    } while (0)

static void versions(void) {
    unsigned major, minor, patch;
    EXPECT(sscanf(swept_version(), "%u.%u.%u", &major, &minor, &patch) == 3);
    EXPECT(strcmp(swept_last_error_message(), "") == 0 && strcmp(swept_last_error_field(), "") == 0);
    EXPECT(strcmp(swept_status_name(SWEPT_NO_SOLUTION), "SWEPT_NO_SOLUTION") == 0);
    EXPECT(strcmp(swept_status_name(-5), "SWEPT_OTHER") == 0);
    EXPECT(swept_abi_version() == major * 1000000 + minor * 1000 + patch);
}

static void numbers(void) {
    struct swept_cylinder good = {0.0865, 0.086, 0.148, 0.0005}, bad = good;
    double out = -1.0, nan_value = strtod("nan", NULL), inf = strtod("inf", NULL);
    EXPECT(swept_cylinder_swept_volume(&good, &out) == SWEPT_OK);
    EXPECT(fabs(out - 0.505385e-3) < 1e-8);
    out = -1.0;
    EXPECT(swept_cylinder_swept_volume(NULL, &out) == SWEPT_NULL_POINTER);
    EXPECT(swept_cylinder_swept_volume(&good, NULL) == SWEPT_NULL_POINTER);
    bad.bore_m = nan_value;
    EXPECT(swept_cylinder_swept_volume(&bad, &out) == SWEPT_NOT_FINITE);
    EXPECT(strstr(swept_last_error_message(), "bore") != NULL);
    bad.bore_m = -1.0;
    EXPECT(swept_cylinder_check(&bad) == SWEPT_OUT_OF_RANGE);
    bad = good;
    bad.rod_length_m = 0.04;
    EXPECT(swept_cylinder_check(&bad) == SWEPT_OUT_OF_RANGE);
    EXPECT(strcmp(swept_last_error_field(), "rod length") == 0);
    EXPECT(swept_cylinder_piston_position(&good, inf, &out) == SWEPT_NOT_FINITE);
    EXPECT(swept_bearing_clearance(nan_value, 0, 0, 0, &out) == SWEPT_NOT_FINITE);
    EXPECT(swept_disc_volume(1e200, 1e200, &out) == SWEPT_NOT_FINITE);
    EXPECT(swept_compression_ratio(1.0, 0.0, &out) == SWEPT_OUT_OF_RANGE);
    EXPECT(swept_clearance_volume_for(0.5, 1e-3, &out) == SWEPT_OUT_OF_RANGE);
    EXPECT(swept_thick_cylinder_hoop_stress(0.1, 0.05, 1, 0, 0.07, &out) == SWEPT_OUT_OF_RANGE);
    EXPECT(out == -1.0);
}

static void lists(void) {
    double widths[2] = {0.024, 0.024}, out = -1.0, intervals[4];
    struct swept_station four[4] = {{0, 0}, {0, 3.141592653589793}, {0, 3.141592653589793}, {0, 0}};
    size_t order[4] = {1, 3, 4, 2}, wrong[4] = {1, 3, 4, 4}, zero[4] = {0, 1, 2, 3};
    struct swept_wall_reading wall;
    int i;
    EXPECT(swept_rod_side_clearance(0.0484, widths, 2, &out) == SWEPT_OK && fabs(out - 0.0004) < 1e-12);
    out = -1.0;
    EXPECT(swept_rod_side_clearance(0.0484, NULL, 2, &out) == SWEPT_NULL_POINTER);
    EXPECT(swept_firing_intervals(four, order, 4, 4, intervals) == SWEPT_OK);
    for (i = 0; i < 4; i++) EXPECT(fabs(intervals[i] - 3.141592653589793) < 1e-12);
    EXPECT(swept_firing_intervals(four, wrong, 4, 4, intervals) == SWEPT_OUT_OF_RANGE);
    EXPECT(swept_firing_intervals(four, zero, 4, 4, intervals) == SWEPT_OUT_OF_RANGE);
    EXPECT(swept_firing_intervals(four, order, 4, 3, intervals) == SWEPT_OUT_OF_RANGE);
    EXPECT(swept_firing_intervals(NULL, order, 4, 4, intervals) == SWEPT_NULL_POINTER);
    EXPECT(swept_thinnest_wall(NULL, 0, &wall) == SWEPT_WRONG_LENGTH);
    EXPECT(out == -1.0);
}

static void texts(void) {
    double out = -1.0;
    EXPECT(swept_convert(1.0, "in", "mm", &out) == SWEPT_OK && out == 25.4);
    out = -1.0;
    EXPECT(swept_convert(1.0, "in", "kg", &out) == SWEPT_WRONG_DIMENSION);
    EXPECT(swept_convert(1.0, "inn", "mm", &out) == SWEPT_UNKNOWN_UNIT);
    EXPECT(swept_convert(1.0, NULL, "mm", &out) == SWEPT_NULL_POINTER);
    EXPECT(swept_convert(1.0, "\xff\xfe", "mm", &out) == SWEPT_NOT_UTF8);
    EXPECT(swept_parse("4.125 in", "mm", &out) == SWEPT_OK && fabs(out - 104.775) < 1e-12);
    EXPECT(swept_parse("4.125 in", "length", &out) == SWEPT_OK && out == 0.104775);
    EXPECT(swept_parse("80 degC", "temperature difference", &out) == SWEPT_OK && out == 80.0);
    out = -1.0;
    EXPECT(swept_convert(1.0, "in", "mm", NULL) == SWEPT_NULL_POINTER);
    EXPECT(swept_convert(1.0, "in", NULL, &out) == SWEPT_NULL_POINTER);
    EXPECT(swept_convert(strtod("nan", NULL), "in", "mm", &out) == SWEPT_NOT_FINITE);
    EXPECT(swept_parse(NULL, "mm", &out) == SWEPT_NULL_POINTER);
    EXPECT(swept_parse("1 mm", NULL, &out) == SWEPT_NULL_POINTER);
    EXPECT(swept_parse("1 mm", "mm", NULL) == SWEPT_NULL_POINTER);
    EXPECT(swept_parse("1 kg", "length", &out) == SWEPT_WRONG_DIMENSION);
    EXPECT(swept_parse("\xff", "mm", &out) == SWEPT_NOT_UTF8);
    EXPECT(swept_parse("1 mm", "\xff", &out) == SWEPT_NOT_UTF8);
    EXPECT(swept_parse("4.125", "mm", &out) == SWEPT_MISSING_UNIT);
    EXPECT(swept_parse("four inches", "mm", &out) == SWEPT_UNREADABLE);
    EXPECT(out == -1.0);
}

static void documents(void) {
    const char *small = "schema = 1\nengine.cylinders = 1\nblock.bore = \"86 mm\"\n"
                        "crank.stroke = \"86 mm\"\nrods.length = \"143 mm\"\n";
    const char *slip = "schema = 1\nengine.cylinders = 1\nblock.bore = \"86 kg\"\n"
                       "crank.stroke = \"86 mm\"\nrods.length = \"143 mm\"\n";
    char *json = NULL;
    EXPECT(swept_build_sheet_json(small, strlen(small), &json) == SWEPT_OK);
    EXPECT(json != NULL && strstr(json, "\"displacement\"") != NULL);
    swept_string_free(json);
    json = NULL;
    EXPECT(swept_build_sheet_json(slip, strlen(slip), &json) == SWEPT_WRONG_DIMENSION);
    EXPECT(json == NULL && swept_last_error_line() == 3);
    EXPECT(strcmp(swept_last_error_field(), "block.bore") == 0);
    EXPECT(swept_build_sheet_json(small, strlen(small), NULL) == SWEPT_NULL_POINTER);
    EXPECT(swept_build_check(NULL, 5) == SWEPT_NULL_POINTER);
    EXPECT(swept_build_check(NULL, 0) == SWEPT_MISSING_KEY);
    EXPECT(swept_build_check("\xff\xfe", 2) == SWEPT_NOT_UTF8);
    EXPECT(swept_build_sheet_json(NULL, 5, &json) == SWEPT_NULL_POINTER);
    EXPECT(swept_build_sheet_json("a\0b", 3, &json) == SWEPT_SYNTAX);
    EXPECT(swept_build_check(small, (size_t)-1) == SWEPT_WRONG_LENGTH);
    EXPECT(swept_build_schema_json(NULL) == SWEPT_NULL_POINTER);
    EXPECT(json == NULL && swept_build_check(small, strlen(small)) == SWEPT_OK);
    EXPECT(swept_build_schema_json(&json) == SWEPT_OK && strstr(json, "properties") != NULL);
    swept_string_free(json);
    swept_string_free(NULL);
}

/* Long texts: beyond the size that is read, and just below it in forms that invite deep recursion. */
static void garbage(void) {
    size_t big = 10000000, read = 1000000, i;
    char *text = (char *)malloc(big + 1);
    double out = -1.0;
    if (!text) return;
    memset(text, 'x', big);
    text[big] = '\0';
    EXPECT(swept_build_check(text, big) == SWEPT_OUT_OF_RANGE);
    EXPECT(swept_build_check(text, read) == SWEPT_SYNTAX);
    EXPECT(swept_parse(text, "mm", &out) == SWEPT_UNREADABLE && strlen(swept_last_error_message()) < 1000);
    EXPECT(swept_convert(1.0, text, "mm", &out) == SWEPT_UNKNOWN_UNIT);
    memset(text, '[', read);
    memcpy(text, "a=", 2);
    EXPECT(swept_build_check(text, read) == SWEPT_SYNTAX);
    for (i = 0; i < read; i += 2) memcpy(text + i, "a.", 2);
    memcpy(text + read - 2, "=1", 2);
    EXPECT(swept_build_check(text, read) != SWEPT_OK);
    EXPECT(out == -1.0);
    free(text);
}

static void conformity(void) {
    int verdict = -1;
    double p, none = strtod("nan", NULL);
    EXPECT(swept_verdict(86.01, 0.0008, 86.0, 86.022, &verdict) == SWEPT_OK && verdict == SWEPT_PASS);
    EXPECT(swept_verdict(86.1, 0.0008, none, 86.022, &verdict) == SWEPT_OK && verdict == SWEPT_FAIL);
    EXPECT(swept_verdict(86.022, 0.0008, none, 86.022, &verdict) == SWEPT_OK && verdict == SWEPT_CANNOT_TELL);
    EXPECT(swept_verdict(86.022, 0.0008, none, none, &verdict) == SWEPT_MISSING_KEY);
    EXPECT(swept_verdict(86.022, -1.0, none, 86.0, &verdict) == SWEPT_OUT_OF_RANGE);
    EXPECT(swept_verdict(none, 0.0, none, 86.0, &verdict) == SWEPT_NOT_FINITE);
    EXPECT(swept_conformance_probability(86.0213, 0.0008, 86.0, 86.022, &p) == SWEPT_OK && fabs(p - 0.809213) < 1e-6);
}

int main(void) {
    versions();
    numbers();
    lists();
    texts();
    documents();
    garbage();
    conformity();
    if (failures) return 1;
    puts("C: every call answered as its header says");
    return 0;
}
