/* A build document to the JSON of its sheet: sheet BUILD.toml
 * cc sheet.c $(pkg-config --cflags --libs swept) -o sheet */
#include <stdio.h>
#include <stdlib.h>
#include <swept.h>

static char *read_file(const char *path, size_t *length) {
    FILE *file = fopen(path, "rb");
    char *text = NULL;
    size_t room = 0, n = 0;
    if (!file) return NULL;
    for (;;) {
        char *more;
        if (n == room) {
            room = room ? 2 * room : 65536;
            more = (char *)realloc(text, room);
            if (!more) break;
            text = more;
        }
        size_t got = fread(text + n, 1, room - n, file);
        n += got;
        if (got == 0) break;
    }
    fclose(file);
    *length = n;
    return text;
}

int main(int argc, char **argv) {
    size_t length = 0;
    char *document, *json = NULL;
    if (argc != 2) {
        fprintf(stderr, "usage: sheet BUILD.toml\n");
        return 2;
    }
    document = read_file(argv[1], &length);
    if (!document) {
        fprintf(stderr, "%s cannot be read\n", argv[1]);
        return 2;
    }
    if (swept_build_sheet_json(document, length, &json) != SWEPT_OK) {
        fprintf(stderr, "%s: %s\n", argv[1], swept_last_error_message());
        free(document);
        return 2;
    }
    puts(json);
    swept_string_free(json);
    free(document);
    return 0;
}
