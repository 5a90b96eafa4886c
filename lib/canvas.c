#include "canvas.h"

#include <math.h>

/* Dots of a cell. */
enum { WIDE = 2, HIGH = 4, BRAILLE = 0x2800 };

/* The bit of each dot by column and row (the Unicode Standard, block Braille Patterns). */
static const unsigned char BITS[WIDE][HIGH] = {{0x01, 0x02, 0x04, 0x40}, {0x08, 0x10, 0x20, 0x80}};

static const struct pen {
    char ascii;
    long every;      /* only each so many columns of dots are drawn, */
    long every_cell; /* in ASCII of cells */
} PENS[CANVAS_PENS] = {
    [CANVAS_NOTHING] = {' ', 1, 1}, [CANVAS_SHADE] = {':', 4, 2}, [CANVAS_EDGE] = {',', 2, 1},
    [CANVAS_RULE] = {'-', 4, 2},    [CANVAS_LINE] = {'.', 1, 1},
};

struct canvas canvas_new(struct arena *arena, long columns, long rows, bool ascii)
{
    size_t cells = (size_t)columns * (size_t)rows;
    return (struct canvas){columns, rows, ascii,
                           arena_array(arena, cells, sizeof(struct canvas_cell))};
}

static struct canvas_cell *cell_at(const struct canvas *canvas, long column, long row)
{
    if (column < 0 || column >= canvas->columns || row < 0 || row >= canvas->rows)
        return NULL;
    return &canvas->cells[row * canvas->columns + column];
}

/* A dot by its whole place. */
static void set_dot(struct canvas *canvas, long x, long y, enum canvas_pen pen)
{
    if (x < 0 || y < 0)
        return;
    struct canvas_cell *cell = cell_at(canvas, x / WIDE, y / HIGH);
    if (cell == NULL)
        return;
    cell->dots |= BITS[x % WIDE][y % HIGH];
    if (pen >= cell->pen) {
        cell->pen = (unsigned char)pen;
        cell->high = y % HIGH < HIGH / 2;
    }
}

static bool is_drawable(double x)
{
    return x > -CANVAS_MOST && x < 2.0 * CANVAS_MOST;
}

/* Does the pen's pattern have a dot in this column? */
static bool is_on(const struct canvas *canvas, long x, enum canvas_pen pen)
{
    if (canvas->ascii)
        return x / WIDE % PENS[pen].every_cell == 0;
    return x % PENS[pen].every == 0;
}

void canvas_line(struct canvas *canvas, double x0, double y0, double x1, double y1,
                 enum canvas_pen pen)
{
    if (!is_drawable(x0) || !is_drawable(y0) || !is_drawable(x1) || !is_drawable(y1))
        return;
    double run = (x1 - x0) * WIDE, rise = (y1 - y0) * HIGH;
    long steps = (long)ceil(fmax(fabs(run), fabs(rise)));
    for (long i = 0; i <= steps; i++) {
        double share = steps == 0 ? 0 : (double)i / (double)steps;
        long x = (long)floor(x0 * WIDE + run * share), y = (long)floor(y0 * HIGH + rise * share);
        if (x >= 0 && is_on(canvas, x, pen))
            set_dot(canvas, x, y, pen);
    }
}

void canvas_shade(struct canvas *canvas, double x, double y0, double y1)
{
    if (!is_drawable(x) || !is_drawable(y0) || !is_drawable(y1) || y1 < y0)
        return;
    long column = (long)floor(x * WIDE), last = (long)floor(y1 * HIGH);
    for (long y = (long)floor(y0 * HIGH); y <= last && is_on(canvas, column, CANVAS_SHADE); y++)
        set_dot(canvas, column, y, CANVAS_SHADE);
}

void canvas_put(struct canvas *canvas, long column, long row, uint32_t code)
{
    struct canvas_cell *cell = cell_at(canvas, column, row);
    if (cell != NULL)
        cell->text = code;
}

void canvas_text(struct canvas *canvas, long column, long row, struct str text)
{
    for (size_t i = 0, used; i < text.n; i += used)
        canvas_put(canvas, column++, row, str_char(text.p + i, text.n - i, &used));
}

bool canvas_is_covered(const struct canvas *canvas, long column, long row)
{
    const struct canvas_cell *cell = cell_at(canvas, column, row);
    return cell == NULL || cell->text != 0;
}

static void add_code(struct buf *buf, uint32_t code)
{
    if (code < 0x80) {
        buf_char(buf, (char)code);
    } else if (code < 0x800) {
        buf_char(buf, (char)(0xc0 | code >> 6));
        buf_char(buf, (char)(0x80 | (code & 0x3f)));
    } else {
        buf_char(buf, (char)(0xe0 | code >> 12));
        buf_char(buf, (char)(0x80 | (code >> 6 & 0x3f)));
        buf_char(buf, (char)(0x80 | (code & 0x3f)));
    }
}

static uint32_t shown(const struct canvas *canvas, const struct canvas_cell *cell)
{
    if (cell->text != 0)
        return cell->text;
    if (cell->dots == 0)
        return ' ';
    if (!canvas->ascii)
        return BRAILLE + cell->dots;
    if (cell->pen == CANVAS_LINE && cell->high)
        return '\'';
    return (uint32_t)PENS[cell->pen].ascii;
}

void canvas_write_row(const struct canvas *canvas, long row, struct buf *buf)
{
    long end = canvas->columns;
    while (end > 0 && shown(canvas, cell_at(canvas, end - 1, row)) == ' ')
        end--;
    for (long column = 0; column < end; column++)
        add_code(buf, shown(canvas, cell_at(canvas, column, row)));
    buf_char(buf, '\n');
}
