/* Of half a million designs: how many hold the limits, what each limit costs, the five with the most displacement.
 * cc study.c $(pkg-config --cflags --libs swept) -o study */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <swept.h>

static const char *STUDY =
    "{"
    "  \"axes\": ["
    "    {\"figure\": \"bore\", \"from\": \"80 mm\", \"to\": \"90 mm\", \"step\": \"0.1 mm\"},"
    "    {\"figure\": \"stroke\", \"from\": \"70 mm\", \"to\": \"95 mm\", \"step\": \"0.1 mm\"},"
    "    {\"figure\": \"rod_length\", \"from\": \"135 mm\", \"to\": \"145 mm\", \"step\": \"0.5 mm\"}"
    "  ],"
    "  \"fixed\": {\"cylinders\": \"4\", \"speed\": \"7500 rpm\", \"bore_spacing\": \"96 mm\"},"
    "  \"limits\": {"
    "    \"mean_piston_speed\": {\"upper\": \"22 m/s\"},"
    "    \"wall_between_bores\": {\"lower\": \"7 mm\"},"
    "    \"rod_ratio\": {\"lower\": \"1.6\"}"
    "  }"
    "}";

static void check(enum swept_status status) {
    if (status != SWEPT_OK) {
        fprintf(stderr, "%s\n", swept_last_error_message());
        exit(1);
    }
}

/* Asked now and then; another answer than 0 would stop the question. */
static int32_t tell(double done, void *user) {
    fprintf((FILE *)user, "\r%3.0f %%", 100.0 * done);
    return 0;
}

int main(void) {
    struct swept_workers workers = {0, tell, stderr};
    struct swept_study *study;
    struct swept_study_counts counts;
    struct swept_study_exclusion excluded[64];
    uint64_t rows[5];
    double displacement_m3[5], bore_m[5], stroke_m[5], rod_length_m[5];
    size_t i, count;
    check(swept_study_new(STUDY, strlen(STUDY), &study));
    check(swept_study_count(study, &workers, &counts));
    printf("%.0f designs, %.0f feasible\n", counts.designs_rounded, counts.feasible_rounded);
    check(swept_study_excluded(study, &workers, excluded, 64, &count));
    for (i = 0; i < count; i++) printf("the limit on %s alone excludes %.0f\n", excluded[i].output, excluded[i].designs_rounded);
    check(swept_study_best(study, &workers, "displacement", 1, rows, displacement_m3, 5, &count));
    check(swept_study_values(study, "bore", rows, count, bore_m));
    check(swept_study_values(study, "stroke", rows, count, stroke_m));
    check(swept_study_values(study, "rod_length", rows, count, rod_length_m));
    printf("bore mm  stroke mm  rod mm  displacement cm3\n");
    for (i = 0; i < count; i++)
        printf("%7.1f  %9.1f  %6.1f  %16.1f\n", bore_m[i] * 1e3, stroke_m[i] * 1e3, rod_length_m[i] * 1e3, displacement_m3[i] * 1e6);
    swept_study_free(study);
    return 0;
}
