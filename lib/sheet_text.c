#include "sheet_text.h"

#include "sheet_words.h"
#include "table.h"

#include <string.h>

enum {
    LABEL = 8,     /* columns of "expect" and the like */
    TIME = 8,      /* of the time, with its gap */
    SLOT = 13,     /* of a blank, with its gap */
    BLANK = 10,    /* of a line to write on */
    NOTE_LEAST = 8 /* a shorter line for notes is not worth it */
};

/* A part of the sheet that stays together. */
struct block {
    struct str text;
    size_t lines;
};

struct page_plan {
    const struct sheet *sheet;
    struct sheet_text paper;
    struct arena *arena;
    struct block *blocks;
    size_t n, capacity;
};

static void add_block(struct page_plan *plan, const struct buf *text)
{
    if (plan->n == plan->capacity)
        plan->blocks = arena_grow(plan->arena, plan->blocks, &plan->capacity, sizeof *plan->blocks);
    struct block *block = &plan->blocks[plan->n++];
    block->text = buf_str(text);
    block->lines = 0;
    for (size_t i = 0; i < text->n; i++)
        block->lines += text->p[i] == '\n';
}

/* Adds a cell at a column of the line that begins at `start`: at least one blank before it. */
static void put_at(struct buf *line, size_t start, size_t column, struct str text)
{
    size_t width = str_width(str_cut(buf_str(line), start, line->n));
    if (width < column)
        buf_pad(line, ' ', column - width);
    else if (width > 0 && text.n > 0)
        buf_char(line, ' ');
    buf_add(line, text);
}

static void end_line(struct buf *text)
{
    while (text->n > 0 && text->p[text->n - 1] == ' ')
        text->p[--text->n] = '\0';
    buf_char(text, '\n');
}

/* A paragraph with a mark before it, broken at blanks. */
static void add_paragraph(struct page_plan *plan, struct buf *text, size_t indent, const char *mark,
                          struct str words)
{
    size_t room = plan->paper.width - indent;
    bool first = true;
    do {
        struct str line = str_fit(words, room);
        if (line.n < words.n) {
            size_t cut = line.n;
            while (cut > 0 && words.p[cut] != ' ')
                cut--;
            if (cut > 0)
                line.n = cut;
        }
        put_at(text, text->n, indent - strlen(mark), str_of(first ? mark : ""));
        if (!first)
            buf_pad(text, ' ', strlen(mark));
        buf_add(text, line);
        end_line(text);
        words = str_trim(str_cut(words, line.n, words.n));
        first = false;
    } while (words.n > 0);
}

/* A ruled title: NAME == left ====== right. */
static void add_title(struct page_plan *plan, struct buf *text, struct str name, struct str left,
                      struct str right)
{
    size_t start = text->n, width = plan->paper.width;
    str_escape(text, name, 20);
    size_t used = str_width(str_cut(buf_str(text), start, text->n));
    buf_pad(text, ' ', used < LABEL - 1 ? LABEL - 1 - used : 0);
    buf_char(text, ' ');
    used = str_width(str_cut(buf_str(text), start, text->n));
    size_t rest = used + str_width(right) + 6;
    str_escape(text, left, width > rest + 8 ? width - rest : 8);
    used = str_width(str_cut(buf_str(text), start, text->n));
    size_t dashes = width > used + str_width(right) + 2 ? width - used - str_width(right) - 2 : 1;
    if (left.n > 0)
        buf_char(text, ' ');
    else
        dashes++;
    buf_pad(text, '-', right.n == 0 ? dashes + 1 : dashes);
    if (right.n > 0)
        buf_char(text, ' ');
    buf_add(text, right);
    end_line(text);
}

/* The rows of up to `count` blanks: headings, last figures, what is expected, where to write. */
static void add_blanks(struct page_plan *plan, struct buf *text, const struct sheet_stop *stop,
                       const int *reads, size_t count, bool first)
{
    static const char *const LABELS[] = {"", "  last", "  expect", "", "  now"};
    const struct sheet *sheet = plan->sheet;
    struct buf cell = buf_new(plan->arena);
    for (size_t row = 0; row < sizeof LABELS / sizeof LABELS[0]; row++) {
        size_t start = text->n;
        buf_add(text, str_of(LABELS[row]));
        if (row == 0 && first)
            put_at(text, start, LABEL, STR("  time"));
        if (row == 1 && first && stop->last_at != 0) {
            char clock[CIVIL_CLOCK_SIZE];
            put_at(text, start, LABEL + 2,
                   str_of(civil_clock(sheet->cellar->zone, stop->last_at, clock)));
        }
        if (row == 4 && first)
            put_at(text, start, LABEL + 2, STR("_____"));
        for (size_t i = 0; i < count; i++) {
            enum quantity quantity = BATCH_COLUMNS[reads[i]].quantity;
            const struct quantity_unit *unit = sheet_unit(sheet, quantity);
            const struct sheet_cell *it = &stop->cells[reads[i]];
            cell.n = 0;
            if (row == 0)
                sheet_write_heading(&cell, sheet, reads[i]);
            else if (row == 1)
                sheet_write_last(&cell, sheet, it, quantity, unit, stop->last_at);
            else if (row == 2)
                sheet_write_expected(&cell, &it->expected, quantity, unit);
            else if (row == 4)
                buf_pad(&cell, '_', BLANK);
            put_at(text, start, LABEL + TIME + 1 + i * SLOT, buf_str(&cell));
        }
        size_t end = LABEL + TIME + 1 + count * SLOT;
        if (row == 4 && end + NOTE_LEAST > plan->paper.width) {
            end_line(text);
            start = text->n;
            end = LABEL + TIME + 1;
            put_at(text, start, 2, STR("note"));
        }
        if (row == 0 && end + NOTE_LEAST <= plan->paper.width)
            put_at(text, start, end, STR("note"));
        if (row == 4 && end + NOTE_LEAST <= plan->paper.width) {
            cell.n = 0;
            buf_pad(&cell, '_', plan->paper.width - end);
            put_at(text, start, end, buf_str(&cell));
        }
        end_line(text);
    }
}

static void add_remarks(struct page_plan *plan, struct buf *text, const struct sheet_line *line)
{
    for (; line != NULL; line = line->next)
        add_paragraph(plan, text, LABEL + 2, "! ", str_of(line->text));
}

static void add_occupied(struct page_plan *plan, struct buf *text, const struct sheet_stop *stop)
{
    struct buf left = buf_new(plan->arena), right = buf_new(plan->arena);
    buf_add(&left, stop->batch);
    buf_char(&left, ' ');
    buf_add(&left, stop->beer);
    sheet_write_facts(&right, plan->sheet, stop);
    add_title(plan, text, stop->name, buf_str(&left), buf_str(&right));
    add_remarks(plan, text, stop->remarks);
    if (stop->verdict.caution != NULL)
        add_paragraph(plan, text, LABEL + 2, "! ", str_of(stop->verdict.caution));
    if (stop->verdict.words != NULL)
        add_paragraph(plan, text, LABEL + 2, "> ", str_of(stop->verdict.words));
    struct buf words = buf_new(plan->arena);
    if (!sheet_is_visited(stop)) {
        words.n = 0;
        char day[CIVIL_SHORT_SIZE];
        if (stop->due.is_read_today)
            buf_add(&words, STR("read today; nothing more is due"));
        else
            buf_printf(&words, "next due %s", civil_short_date(stop->due.next_day, day));
        add_paragraph(plan, text, LABEL + 2, "> ", buf_str(&words));
        return;
    }
    int reads[SHEET_CELLS];
    size_t n = 0, most = (plan->paper.width - LABEL - TIME - 1 + SLOT - BLANK) / SLOT;
    for (size_t i = 0; i < SHEET_CELLS; i++)
        if (stop->cells[SHEET_ORDER[i]].is_due)
            reads[n++] = SHEET_ORDER[i];
    for (size_t i = 0; i < n; i += most)
        add_blanks(plan, text, stop, reads + i, n - i < most ? n - i : most, i == 0);
}

static void add_stop(struct page_plan *plan, const struct sheet_stop *stop)
{
    if (!stop->is_occupied && plan->sheet->is_part)
        return;
    struct buf text = buf_new(plan->arena);
    if (stop->is_occupied) {
        add_occupied(plan, &text, stop);
    } else {
        struct buf left = buf_new(plan->arena);
        if (stop->tank != NULL)
            sheet_write_empty(&left, plan->sheet, stop);
        add_title(plan, &text, stop->name, buf_str(&left), STR(""));
        add_remarks(plan, &text, stop->remarks);
    }
    add_block(plan, &text);
}

/* The first block: what comes before the walk. */
static void add_opening(struct page_plan *plan)
{
    const struct sheet *sheet = plan->sheet;
    struct buf text = buf_new(plan->arena), words = buf_new(plan->arena);
    for (size_t i = 0; i < sheet->meters.n; i++) {
        const struct sheet_meter *meter = &sheet->meters.items[i];
        if (!meter->is_due)
            continue;
        if (text.n == 0)
            add_title(plan, &text, STR("FIRST"), STR("calibrate"), STR(""));
        words.n = 0;
        sheet_write_meter(&words, sheet, meter);
        size_t start = text.n;
        put_at(&text, start, LABEL, buf_str(&words));
        put_at(&text, start, plan->paper.width - 20, STR("done at _____ "));
        end_line(&text);
    }
    add_remarks(plan, &text, sheet->remarks);
    if (text.n > 0)
        add_block(plan, &text);
}

static void add_checks(struct page_plan *plan)
{
    const struct sheet *sheet = plan->sheet;
    struct buf text = buf_new(plan->arena), cell = buf_new(plan->arena);
    for (size_t i = 0; i < sheet->checks.n; i++) {
        const struct sheet_check *check = &sheet->checks.items[i];
        if (!check->cell.is_due)
            continue;
        if (text.n == 0)
            add_title(plan, &text, STR("PLANT"), STR(""), STR(""));
        buf_char(&text, '\n');
        size_t start = text.n;
        cell.n = 0;
        str_escape(&cell, check->name, 24);
        put_at(&text, start, 2, buf_str(&cell));
        if (check->cell.last_at != 0) {
            cell.n = 0;
            buf_add(&cell, STR("last "));
            sheet_write_last(&cell, sheet, &check->cell, check->quantity, check->unit,
                             sheet->now - CIVIL_DAY);
            put_at(&text, start, 28, buf_str(&cell));
        }
        cell.n = 0;
        sheet_write_expected(&cell, &check->cell.expected, check->quantity, check->unit);
        if (cell.n > 0)
            put_at(&text, start, 48, buf_str(&cell));
        put_at(&text, start, 60, STR("__________"));
        if (check->unit != NULL)
            put_at(&text, start, 71, str_of(check->unit->name));
        end_line(&text);
    }
    if (text.n > 0)
        add_block(plan, &text);
}

static const char WALKED[] =
    "by _____  start _____  end _____  pH meter ______  gravity meter ______";
enum { HEADING_LINES = 4 };

static void write_heading(FILE *out, const struct page_plan *plan, size_t page, size_t pages)
{
    const struct sheet *sheet = plan->sheet;
    struct buf line = buf_new(plan->arena), right = buf_new(plan->arena);
    char date[CIVIL_SHORT_SIZE];
    if (pages > 0)
        buf_printf(&right, "page %zu of %zu", page, pages);
    str_escape(&line, text_of(sheet->cellar->name), 30);
    buf_printf(&line, "%sround of %s %d", line.n > 0 ? ": " : "",
               civil_short_date(sheet->today, date), civil_date_of_day(sheet->today).year);
    put_at(&line, 0, plan->paper.width - right.n, buf_str(&right));
    end_line(&line);
    buf_char(&line, '\n');
    buf_add(&line, str_of(WALKED));
    end_line(&line);
    buf_char(&line, '\n');
    fwrite(line.p, 1, line.n, out);
}

/* The block after the last one that fits on the page that begins with block `from`. */
static size_t page_end(const struct page_plan *plan, size_t from)
{
    if (plan->paper.lines == 0)
        return plan->n;
    size_t used = HEADING_LINES, end = from;
    while (end < plan->n && (end == from || used + plan->blocks[end].lines <= plan->paper.lines))
        used += plan->blocks[end++].lines;
    return end;
}

void sheet_text_write(FILE *out, const struct sheet *sheet, struct sheet_text paper)
{
    struct page_plan plan = {.sheet = sheet, .paper = paper, .arena = sheet->arena};
    add_opening(&plan);
    for (size_t i = 0; i < sheet->stops.n; i++)
        add_stop(&plan, &sheet->stops.items[i]);
    add_checks(&plan);
    size_t pages = 0;
    for (size_t from = 0; from < plan.n || pages == 0; from = page_end(&plan, from))
        pages++;
    size_t page = 0;
    for (size_t from = 0; from < plan.n || page == 0;) {
        size_t end = page_end(&plan, from);
        if (page++ > 0)
            putc('\f', out);
        write_heading(out, &plan, page, paper.lines == 0 ? 0 : pages);
        for (; from < end; from++)
            fwrite(plan.blocks[from].text.p, 1, plan.blocks[from].text.n, out);
    }
}
