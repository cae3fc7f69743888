/* Designs listed row by row: a table of one's own, column by column; then ten million scattered over ranges, a block at a time, in the memory of one block.
 * cc designs.c $(pkg-config --cflags --libs swept) -o designs */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <swept.h>

#define BLOCK 65536
static const char *SHARED =
    "{"
    "  \"fixed\": {\"cylinders\": \"4\", \"speed\": \"7500 rpm\"},"
    "  \"limits\": {\"mean_piston_speed\": {\"upper\": \"22 m/s\"}, \"rod_ratio\": {\"lower\": \"1.6\"}}"
    "}";
static const char *SCATTER =
    "{"
    "  \"ranges\": ["
    "    {\"figure\": \"bore\", \"from\": \"80 mm\", \"to\": \"90 mm\"},"
    "    {\"figure\": \"stroke\", \"from\": \"70 mm\", \"to\": \"95 mm\"},"
    "    {\"figure\": \"rod_length\", \"from\": \"135 mm\", \"to\": \"145 mm\"}"
    "  ],"
    "  \"designs\": 10000000,"
    "  \"fixed\": {\"cylinders\": \"4\", \"speed\": \"7500 rpm\"},"
    "  \"limits\": {\"mean_piston_speed\": {\"upper\": \"22 m/s\"}, \"rod_ratio\": {\"lower\": \"1.6\"}}"
    "}";

static void check(enum swept_status status) {
    if (status != SWEPT_OK) {
        fprintf(stderr, "%s\n", swept_last_error_message());
        exit(1);
    }
}

static void table(void) {
    /* The columns stay ours: they are read where they are, each time a question is asked. */
    static const double bore[4] = {86.0, 87.0, 87.5, 88.0}, stroke[4] = {86.0, 88.0, 90.7, 94.0}, rod_length[4] = {143.0, 145.0, 150.0, 144.0};
    struct swept_column columns[3] = {{"bore", "mm", bore, 4}, {"stroke", "mm", stroke, 4}, {"rod_length", "mm", rod_length, 4}};
    double displacement_m3[4], speed_m_s[4], rod_ratio[4];
    struct swept_output_column outputs[3] = {{"displacement", displacement_m3}, {"mean_piston_speed", speed_m_s}, {"rod_ratio", rod_ratio}};
    uint8_t feasible[4];
    struct swept_designs *designs;
    int i;
    check(swept_designs_from_columns(SHARED, strlen(SHARED), columns, 3, &designs));
    check(swept_designs_outputs(designs, NULL, 0, 4, outputs, 3, feasible, NULL));
    printf("bore mm  stroke mm  displacement cm3  mean piston speed m/s  rod ratio\n");
    for (i = 0; i < 4; i++)
        printf("%7.1f  %9.1f  %16.1f  %21.2f  %9.3f%s\n", bore[i], stroke[i], displacement_m3[i] * 1e6, speed_m_s[i], rod_ratio[i], feasible[i] ? "" : "  out of limits");
    swept_designs_free(designs);
}

static void scattered(void) {
    static double displacement_m3[BLOCK];
    static uint8_t feasible[BLOCK];
    struct swept_output_column output = {"displacement", displacement_m3};
    struct swept_designs *designs;
    struct swept_designs_counts counts;
    const uint64_t rows = 10000000;
    uint64_t first, found[32] = {0};
    size_t i;
    check(swept_designs_from_scatter(SCATTER, strlen(SCATTER), &designs));
    for (first = 0; first < rows; first += BLOCK) {
        size_t some = rows - first < BLOCK ? (size_t)(rows - first) : BLOCK;
        check(swept_designs_outputs(designs, NULL, first, some, &output, 1, feasible, &counts));
        for (i = 0; i < some; i++) {
            size_t step = (size_t)(displacement_m3[i] * 1e4);
            if (feasible[i] && step < 32) found[step]++;
        }
    }
    printf("displacement cm3  feasible designs\n");
    for (i = 0; i < 32; i++)
        if (found[i]) printf("%4d to %4d  %20.0f\n", (int)i * 100, (int)i * 100 + 100, (double)found[i]);
    swept_designs_free(designs);
}

int main(void) {
    table();
    scattered();
    return 0;
}
