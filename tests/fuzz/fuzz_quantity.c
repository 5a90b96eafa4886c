/* Any bytes as a figure and as a limit of any quantity (the first byte): what is read is finite and
 * within the quantity's bounds, and every refusal can be explained. */
#include "fuzz.h"
#include "quantity.h"

#include <math.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    struct arena arena;
    struct figure figure = {0};
    struct range range = {0};
    if (n == 0)
        return 0;
    arena_init(&arena, NULL, NULL);
    enum quantity quantity = (enum quantity)(bytes[0] % QUANTITY_COUNT);
    const struct quantity_unit *house = bytes[0] & 0x80 ? quantity_library_unit(quantity) : NULL;
    struct str text = {arena_copy(&arena, (const char *)bytes + 1, n - 1), n - 1};
    enum quantity_status status = quantity_read(text, quantity, house, &figure);
    if ((status == QUANTITY_OK) != (figure.state == FIGURE_SET))
        abort();
    if (status == QUANTITY_OK &&
        !(isfinite(figure.value) && figure.step > 0 && figure.value >= QUANTITIES[quantity].least &&
          figure.value <= QUANTITIES[quantity].most))
        abort();
    if (status != QUANTITY_OK && quantity_explain(&arena, text, quantity, status)[0] == '\0')
        abort();
    status = quantity_read_range(text, quantity, house, &range);
    if (status == QUANTITY_OK && range.has_low && range.has_high && !(range.low <= range.high))
        abort();
    if (status != QUANTITY_OK && quantity_explain(&arena, text, quantity, status)[0] == '\0')
        abort();
    arena_free(&arena);
    return 0;
}
