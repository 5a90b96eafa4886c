/*
 * bare FILE...
 *
 * The least that reading YAML costs: each file is read whole, libyaml turns it into events, and the
 * events are thrown away. What a filter takes beyond that is its own.
 */
#include <stdio.h>
#include <stdlib.h>
#include <yaml.h>

struct text {
    unsigned char *bytes;
    size_t n, capacity;
};

static int read_whole(const char *path, struct text *text)
{
    FILE *in = fopen(path, "rb");
    if (in == NULL)
        return 0;
    text->n = 0;
    size_t got;
    do {
        if (text->n == text->capacity) {
            text->capacity = text->capacity == 0 ? 65536 : text->capacity * 2;
            text->bytes = realloc(text->bytes, text->capacity);
            if (text->bytes == NULL)
                abort();
        }
        got = fread(text->bytes + text->n, 1, text->capacity - text->n, in);
        text->n += got;
    } while (got > 0);
    int good = !ferror(in);
    fclose(in);
    return good;
}

static int parse(const struct text *text)
{
    yaml_parser_t parser;
    yaml_event_t event;
    if (!yaml_parser_initialize(&parser))
        return 0;
    yaml_parser_set_input_string(&parser, text->bytes, text->n);
    int under_way = 1, good = 1;
    while (under_way && good) {
        good = yaml_parser_parse(&parser, &event);
        if (!good)
            break;
        under_way = event.type != YAML_STREAM_END_EVENT;
        yaml_event_delete(&event);
    }
    yaml_parser_delete(&parser);
    return good;
}

int main(int argc, char **argv)
{
    struct text text = {NULL, 0, 0};
    for (int i = 1; i < argc; i++) {
        if (!read_whole(argv[i], &text) || !parse(&text)) {
            fprintf(stderr, "bare: %s cannot be read\n", argv[i]);
            return 2;
        }
    }
    free(text.bytes);
    return 0;
}
