/* Samples: bad texts, pointers, names and sizes are refused and nothing is written; questions that are stopped. */
#include "check.h"
#include <string.h>

static struct swept_sampling *sampling, *correlated, *made;
static const char *const OUTPUTS[2] = {"displacement", "bore_stroke_ratio"};
static const double HALF = 0.5;
static struct swept_samples samples;
static struct swept_spread spreads[2];
static struct swept_quantile quantiles[4];
static struct swept_sensitivity shares[8];
static struct swept_linear linear;
static struct swept_contribution parts[4];
static double values[4];
static size_t count;

/* Refused, and all outputs left alone. */
#define NO(call, status)                                                                   \
    do {                                                                                   \
        made = NULL, samples.impossible = spreads[0].used = shares[0].used = 7, count = 7; \
        quantiles[0].value = linear.value = parts[0].share = values[0] = -7.0;             \
        told((call) == (status) && made == NULL && samples.impossible == 7 && spreads[0].used == 7 && shares[0].used == 7 && count == 7 && \
                 quantiles[0].value == -7.0 && linear.value == -7.0 && parts[0].share == -7.0 && values[0] == -7.0, #call, #status); \
    } while (0)
#define NO_TEXT(text, status) NO(swept_sampling_new(text, strlen(text), &made), status)
#define READING(inside) "{\"readings\": {\"bore\": {" inside "}}}"

static struct swept_sampling *sampling_of(const char *text) {
    struct swept_sampling *new_one = NULL;
    told(swept_sampling_new(text, strlen(text), &new_one) == SWEPT_OK && new_one != NULL, "swept_sampling_new", text);
    return new_one;
}

static void texts(void) {
    NO_TEXT("", SWEPT_UNREADABLE);
    NO(swept_sampling_new(NULL, 0, &made), SWEPT_UNREADABLE);
    NO(swept_sampling_new(NULL, 2, &made), SWEPT_NULL_POINTER);
    NO(swept_sampling_new("{}", 2, NULL), SWEPT_NULL_POINTER);
    NO(swept_sampling_new("{}", (size_t)-1, &made), SWEPT_WRONG_LENGTH);
    NO(swept_sampling_new("\xff\xfe", 2, &made), SWEPT_NOT_UTF8);
    NO_TEXT("{}", SWEPT_UNREADABLE);
    NO_TEXT("{\"readings\": {}, \"seed\": -1}", SWEPT_UNREADABLE);
    NO_TEXT(READING("\"normal\": {\"mean\": \"86 mm\"}"), SWEPT_UNREADABLE);
    NO_TEXT(READING("\"gaussian\": {\"mean\": \"86 mm\", \"deviation\": \"1 mm\"}"), SWEPT_UNREADABLE);
    NO_TEXT(READING("\"normal\": {\"mean\": 86, \"deviation\": \"1 mm\"}"), SWEPT_UNREADABLE);
    NO_TEXT(READING("\"normal\": {\"mean\": \"86\", \"deviation\": \"1 mm\"}"), SWEPT_MISSING_UNIT);
    NO_TEXT(READING("\"normal\": {\"mean\": \"86 mm\", \"deviation\": \"1 g\"}"), SWEPT_WRONG_DIMENSION);
    NO_TEXT(READING("\"normal\": {\"mean\": \"nan mm\", \"deviation\": \"1 mm\"}"), SWEPT_UNREADABLE);
    NO_TEXT(READING("\"normal\": {\"mean\": \"1e999 mm\", \"deviation\": \"1 mm\"}"), SWEPT_NOT_FINITE);
    NO_TEXT(READING("\"normal\": {\"mean\": \"86 mm\", \"deviation\": \"-1 mm\"}"), SWEPT_OUT_OF_RANGE);
    NO_TEXT(READING("\"uniform\": {\"low\": \"86 mm\", \"high\": \"85 mm\"}"), SWEPT_OUT_OF_RANGE);
    NO_TEXT(READING("\"normal\": {\"mean\": \"-86 mm\", \"deviation\": \"1 mm\"}"), SWEPT_OUT_OF_RANGE);
    NO_TEXT("{\"readings\": {\"boar\": {\"uniform\": {\"low\": \"85 mm\", \"high\": \"86 mm\"}}}}", SWEPT_UNKNOWN_KEY);
    NO_TEXT("{\"readings\": {\"bore\": {\"uniform\": {\"low\": \"85 mm\", \"high\": \"86 mm\"}}}, \"fixed\": {\"bore\": \"86 mm\"}}", SWEPT_UNKNOWN_KEY);
    NO_TEXT("{\"readings\": {\"bore\": {\"uniform\": {\"low\": \"85 mm\", \"high\": \"86 mm\"}}}, \"correlations\": [[\"bore\", \"stroke\", 0.5]]}", SWEPT_MISSING_KEY);
    NO_TEXT("{\"readings\": {}, \"limits\": {\"displacement\": {\"upper\": \"2 l\"}}}", SWEPT_MISSING_KEY);
}

#define SAMPLE(s, n, names, k, ps, qs, all, spread, quantile) swept_sampling_sample(s, NULL, n, names, k, ps, qs, all, spread, quantile)

static void sample(void) {
    static const char *const unknown[2] = {"displacement", "power"}, *const null[2] = {"displacement", NULL}, *const bad[1] = {"\xff"}, *const missing[1] = {"rod_ratio"};
    struct swept_workers crowd = {(size_t)-1, NULL, NULL};
    double p[1] = {0.5};
    NO(SAMPLE(NULL, 10, OUTPUTS, 2, &HALF, 1, &samples, spreads, quantiles), SWEPT_NULL_POINTER);
    NO(SAMPLE(sampling, 10, NULL, 2, &HALF, 1, &samples, spreads, quantiles), SWEPT_NULL_POINTER);
    NO(SAMPLE(sampling, 10, OUTPUTS, 2, NULL, 1, &samples, spreads, quantiles), SWEPT_NULL_POINTER);
    NO(SAMPLE(sampling, 10, OUTPUTS, 2, &HALF, 1, NULL, spreads, quantiles), SWEPT_NULL_POINTER);
    NO(SAMPLE(sampling, 10, OUTPUTS, 2, &HALF, 1, &samples, NULL, quantiles), SWEPT_NULL_POINTER);
    NO(SAMPLE(sampling, 10, OUTPUTS, 2, &HALF, 1, &samples, spreads, NULL), SWEPT_NULL_POINTER);
    NO(SAMPLE(sampling, 10, null, 2, &HALF, 1, &samples, spreads, quantiles), SWEPT_NULL_POINTER);
    NO(SAMPLE(sampling, 10, bad, 1, &HALF, 1, &samples, spreads, quantiles), SWEPT_NOT_UTF8);
    NO(SAMPLE(sampling, 10, unknown, 2, &HALF, 1, &samples, spreads, quantiles), SWEPT_UNKNOWN_KEY);
    NO(SAMPLE(sampling, 10, missing, 1, &HALF, 1, &samples, spreads, quantiles), SWEPT_MISSING_KEY);
    NO(SAMPLE(sampling, 0, OUTPUTS, 2, &HALF, 1, &samples, spreads, quantiles), SWEPT_OUT_OF_RANGE);
    NO(SAMPLE(sampling, UINT64_MAX, OUTPUTS, 2, &HALF, 1, &samples, spreads, quantiles), SWEPT_OUT_OF_RANGE);
    NO(SAMPLE(sampling, 10, OUTPUTS, (size_t)-1, &HALF, 1, &samples, spreads, quantiles), SWEPT_WRONG_LENGTH);
    NO(SAMPLE(sampling, 10, OUTPUTS, 2, &HALF, (size_t)-1, &samples, spreads, quantiles), SWEPT_WRONG_LENGTH);
    NO(swept_sampling_sample(sampling, &crowd, 10, OUTPUTS, 2, &HALF, 1, &samples, spreads, quantiles), SWEPT_OUT_OF_RANGE);
    p[0] = nan_value;
    NO(SAMPLE(sampling, 10, OUTPUTS, 2, p, 1, &samples, spreads, quantiles), SWEPT_OUT_OF_RANGE);
    p[0] = 1.5;
    NO(SAMPLE(sampling, 10, OUTPUTS, 2, p, 1, &samples, spreads, quantiles), SWEPT_OUT_OF_RANGE);
    p[0] = -HUGE_VAL;
    NO(SAMPLE(sampling, 10, OUTPUTS, 2, p, 1, &samples, spreads, quantiles), SWEPT_OUT_OF_RANGE);
}

static void single(void) {
#define FILLS(call, name, other)                                                           \
    do {                                                                                   \
        NO(call(NULL, NULL, name, 0, values, 4), SWEPT_NULL_POINTER);                      \
        NO(call(sampling, NULL, NULL, 0, values, 4), SWEPT_NULL_POINTER);                  \
        NO(call(sampling, NULL, name, 0, NULL, 4), SWEPT_NULL_POINTER);                    \
        NO(call(sampling, NULL, "power", 0, values, 4), SWEPT_UNKNOWN_KEY);                \
        NO(call(sampling, NULL, "\xff", 0, values, 4), SWEPT_NOT_UTF8);                    \
        NO(call(sampling, NULL, other, 0, values, 4), SWEPT_MISSING_KEY);                  \
        NO(call(sampling, NULL, name, UINT64_MAX, values, 4), SWEPT_OUT_OF_RANGE);         \
        NO(call(sampling, NULL, name, (uint64_t)1 << 40, values, 4), SWEPT_OUT_OF_RANGE);  \
        NO(call(sampling, NULL, name, 0, values, (size_t)-1), SWEPT_WRONG_LENGTH);         \
    } while (0)
    FILLS(swept_sampling_values, "displacement", "rod_ratio");
    FILLS(swept_sampling_draws, "bore", "stroke");
    NO(swept_sampling_linear(NULL, "displacement", &linear, parts, 4, &count), SWEPT_NULL_POINTER);
    NO(swept_sampling_linear(sampling, NULL, &linear, parts, 4, &count), SWEPT_NULL_POINTER);
    NO(swept_sampling_linear(sampling, "displacement", NULL, parts, 4, &count), SWEPT_NULL_POINTER);
    NO(swept_sampling_linear(sampling, "displacement", &linear, NULL, 4, &count), SWEPT_NULL_POINTER);
    NO(swept_sampling_linear(sampling, "displacement", &linear, parts, 4, NULL), SWEPT_NULL_POINTER);
    NO(swept_sampling_linear(sampling, "displacement", &linear, parts, 0, &count), SWEPT_WRONG_LENGTH);
    NO(swept_sampling_linear(sampling, "displacement", &linear, parts, (size_t)-1, &count), SWEPT_WRONG_LENGTH);
    NO(swept_sampling_linear(sampling, "power", &linear, parts, 4, &count), SWEPT_UNKNOWN_KEY);
    NO(swept_sampling_linear(sampling, "\xff", &linear, parts, 4, &count), SWEPT_NOT_UTF8);
    NO(swept_sampling_linear(sampling, "rod_ratio", &linear, parts, 4, &count), SWEPT_MISSING_KEY);
    NO(swept_sampling_linear(correlated, "bore_stroke_ratio", &linear, parts, 4, &count), SWEPT_OUT_OF_RANGE);
}

static void sensitivity(void) {
    static const char *const unknown[1] = {"power"}, *const missing[1] = {"rod_ratio"};
    NO(swept_sampling_sensitivity(NULL, NULL, 10, OUTPUTS, 2, shares, 8, &count), SWEPT_NULL_POINTER);
    NO(swept_sampling_sensitivity(sampling, NULL, 10, NULL, 2, shares, 8, &count), SWEPT_NULL_POINTER);
    NO(swept_sampling_sensitivity(sampling, NULL, 10, OUTPUTS, 2, NULL, 8, &count), SWEPT_NULL_POINTER);
    NO(swept_sampling_sensitivity(sampling, NULL, 10, OUTPUTS, 2, shares, 8, NULL), SWEPT_NULL_POINTER);
    NO(swept_sampling_sensitivity(sampling, NULL, 10, unknown, 1, shares, 8, &count), SWEPT_UNKNOWN_KEY);
    NO(swept_sampling_sensitivity(sampling, NULL, 10, missing, 1, shares, 8, &count), SWEPT_MISSING_KEY);
    NO(swept_sampling_sensitivity(sampling, NULL, 10, OUTPUTS, 2, shares, 1, &count), SWEPT_WRONG_LENGTH);
    NO(swept_sampling_sensitivity(sampling, NULL, 10, OUTPUTS, 2, shares, (size_t)-1, &count), SWEPT_WRONG_LENGTH);
    NO(swept_sampling_sensitivity(sampling, NULL, 10, OUTPUTS, (size_t)-1, shares, 8, &count), SWEPT_WRONG_LENGTH);
    NO(swept_sampling_sensitivity(sampling, NULL, 0, OUTPUTS, 2, shares, 8, &count), SWEPT_OUT_OF_RANGE);
    NO(swept_sampling_sensitivity(sampling, NULL, UINT64_MAX, OUTPUTS, 2, shares, 8, &count), SWEPT_OUT_OF_RANGE);
    NO(swept_sampling_sensitivity(correlated, NULL, 10, OUTPUTS + 1, 1, shares, 8, &count), SWEPT_OUT_OF_RANGE);
}

static int32_t stop(double done, void *user) {
    told(done >= 0.0 && done <= 1.0, "watch", "no share");
    ++*(int *)user;
    return 1;
}

/* As many samples as there may be: no machine ends before it is asked whether to go on. */
static void stopped(void) {
    const uint64_t most = (uint64_t)1 << 40;
    size_t room = (size_t)1 << 22;
    double *large = (double *)malloc(room * sizeof *large);
    struct swept_workers workers;
    int asked = 0, status;
    if (!large) exit(1);
    workers.threads = 2, workers.watch = stop, workers.user = &asked;
    NO(swept_sampling_sample(sampling, &workers, most, OUTPUTS, 2, &HALF, 1, &samples, spreads, quantiles), SWEPT_STOPPED);
    told(asked > 0, "swept_sampling_sample", "not asked");
    asked = 0;
    NO(swept_sampling_sensitivity(sampling, &workers, most, OUTPUTS, 2, shares, 8, &count), SWEPT_STOPPED);
    told(asked > 0, "swept_sampling_sensitivity", "not asked");
    status = swept_sampling_values(sampling, &workers, "displacement", 0, large, room);
    told(status == SWEPT_STOPPED || status == SWEPT_OK, "swept_sampling_values", "neither stopped nor done");
    status = swept_sampling_draws(sampling, &workers, "bore", 0, large, room);
    told(status == SWEPT_STOPPED || status == SWEPT_OK, "swept_sampling_draws", "neither stopped nor done");
    free(large);
}

/* An output that does not vary has no shares, and too few samples tell no error. */
static void still(void) {
    struct swept_sampling *one = sampling_of("{\"readings\": {\"bore\": {\"normal\": {\"mean\": \"86 mm\", \"deviation\": \"0 mm\"}}}, \"fixed\": {\"stroke\": \"86 mm\"}}");
    told(swept_sampling_sensitivity(one, NULL, 100, OUTPUTS + 1, 1, shares, 8, &count) == SWEPT_OK && count == 1 && isnan(shares[0].first) && isnan(shares[0].total), "no variance", "shares");
    told(swept_sampling_sample(one, NULL, 1, OUTPUTS + 1, 1, &HALF, 1, &samples, spreads, quantiles) == SWEPT_OK && spreads[0].used == 1 && near(spreads[0].mean, 1.0) &&
             near(quantiles[0].value, 1.0) && isnan(quantiles[0].error), "one sample", "an error");
    swept_sampling_free(one);
}

int main(void) {
    nan_value = strtod("nan", NULL);
    sampling = sampling_of("{\"readings\": {\"bore\": {\"normal\": {\"mean\": \"86 mm\", \"deviation\": \"1 mm\"}}}, \"fixed\": {\"stroke\": \"86 mm\"}}");
    correlated = sampling_of("{\"readings\": {\"bore\": {\"normal\": {\"mean\": \"86 mm\", \"deviation\": \"1 mm\"}},"
        "\"stroke\": {\"normal\": {\"mean\": \"86 mm\", \"deviation\": \"1 mm\"}}}, \"correlations\": [[\"bore\", \"stroke\", 0.5]]}");
    texts();
    sample();
    single();
    sensitivity();
    stopped();
    still();
    swept_sampling_free(correlated);
    swept_sampling_free(sampling);
    if (failures == 0) puts("samples: all refused or stopped as they should be");
    return failures != 0;
}
