/* A block decked to a tolerance: how the piston-to-head distance of many engines is spread, how many are out of limits, and which reading that comes from.
 * cc sampling.c $(pkg-config --cflags --libs swept) -o sampling */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <swept.h>

static const char *SAMPLING =
    "{"
    "  \"readings\": {"
    "    \"deck_height\": {\"normal\": {\"mean\": \"212.45 mm\", \"deviation\": \"0.02 mm\"}},"
    "    \"rod_length\": {\"normal\": {\"mean\": \"138 mm\", \"deviation\": \"0.015 mm\"}},"
    "    \"compression_height\": {\"uniform\": {\"low\": \"30.97 mm\", \"high\": \"31.03 mm\"}},"
    "    \"gasket_thickness\": {\"triangular\": {\"low\": \"0.6 mm\", \"mode\": \"0.65 mm\", \"high\": \"0.75 mm\"}}"
    "  },"
    "  \"fixed\": {\"stroke\": \"86 mm\"},"
    "  \"limits\": {\"piston_to_head\": {\"lower\": \"1 mm\", \"upper\": \"1.2 mm\"}},"
    "  \"seed\": 1"
    "}";

static void check(enum swept_status status) {
    if (status != SWEPT_OK) {
        fprintf(stderr, "%s\n", swept_last_error_message());
        exit(1);
    }
}

int main(void) {
    static const char *const outputs[1] = {"piston_to_head"};
    static const double probabilities[3] = {0.025, 0.5, 0.975};
    struct swept_sampling *sampling;
    struct swept_samples samples;
    struct swept_spread spread;
    struct swept_quantile quantiles[3];
    struct swept_sensitivity shares[4];
    struct swept_linear linear;
    struct swept_contribution parts[4];
    size_t i, count;
    check(swept_sampling_new(SAMPLING, strlen(SAMPLING), &sampling));
    check(swept_sampling_sample(sampling, NULL, 1000000, outputs, 1, probabilities, 3, &samples, &spread, quantiles));
    printf("piston to head: mean %.4f mm, standard deviation %.4f mm\n", spread.mean * 1e3, spread.deviation * 1e3);
    for (i = 0; i < 3; i++) printf("%5.1f %% are below %.4f mm (error %.4f)\n", quantiles[i].probability * 100.0, quantiles[i].value * 1e3, quantiles[i].error * 1e3);
    printf("out of limits: %.3f %% (error %.3f)\n", spread.outside.share * 100.0, spread.outside.error * 100.0);
    check(swept_sampling_linear(sampling, outputs[0], &linear, parts, 4, &count));
    check(swept_sampling_sensitivity(sampling, NULL, 100000, outputs, 1, shares, 4, &count));
    printf("by linear propagation: %.4f mm, standard uncertainty %.4f mm\n", linear.value * 1e3, linear.standard_uncertainty * 1e3);
    printf("share of the variance      by samples  by slopes\n");
    for (i = 0; i < count; i++) printf("%-25s  %10.3f  %9.3f\n", shares[i].reading, shares[i].first, parts[i].share);
    swept_sampling_free(sampling);
    return 0;
}
