/* Any bytes as a time, and as a zone file: a time that is read is written back as the same one. */
#include "civil.h"
#include "fuzz.h"
#include "str.h"

#include <stdlib.h>
#include <string.h>

static void check_zone(const struct civil_zone *zone, struct str text)
{
    int64_t at, again;
    char written[CIVIL_TEXT_SIZE];
    enum civil_status status = civil_parse(text.p, text.n, zone, &at);
    if (status != CIVIL_OK && status != CIVIL_FOLD)
        return;
    civil_exact(zone, at, written);
    status = civil_parse(written, strlen(written), zone, &again);
    if ((status != CIVIL_OK && status != CIVIL_FOLD && status != CIVIL_RANGE) ||
        (status != CIVIL_RANGE && again != at))
        abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    struct arena arena;
    const char *why = NULL;
    arena_init(&arena, NULL, NULL);
    struct str text = {arena_copy(&arena, (const char *)bytes, n), n};
    check_zone(civil_utc(), text);
    const struct civil_zone *zone = civil_zone_decode(&arena, text.p, text.n, &why);
    if (zone != NULL)
        check_zone(zone, STR("2026-03-29 01:30"));
    else if (why == NULL || why[0] == '\0')
        abort();
    arena_free(&arena);
    return 0;
}
