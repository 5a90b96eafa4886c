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

/* The rows of a blank; an empty one to write in lies above the line. */
enum { SPACE = SHEET_ROWS, NOW, ROWS };

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

/* A line to write on, from one column up to another. */
static void put_line(struct buf *line, size_t start, size_t from, size_t to)
{
    put_at(line, start, from, STR("_"));
    buf_pad(line, '_', to - from - 1);
}

static void end_line(struct buf *text)
{
    while (text->n > 0 && text->p[text->n - 1] == ' ')
        text->p[--text->n] = '\0';
    buf_char(text, '\n');
}

/* A paragraph broken at blanks, with a mark before it (lead, where it is not NULL), the same
 * indent below. */
static void add_paragraph(struct page_plan *plan, struct buf *text, size_t indent, const char *mark,
                          const char *lead, struct str words)
{
    struct buf all = buf_new(plan->arena);
    buf_add(&all, str_of(lead != NULL ? lead : mark));
    str_escape(&all, words, 0);
    struct str rest = buf_str(&all);
    size_t at = indent - strlen(mark);
    while (rest.n > 0) {
        struct str line = str_fit(rest, plan->paper.width - at);
        size_t cut = line.n;
        while (cut < rest.n && cut > 0 && rest.p[cut] != ' ')
            cut--;
        line.n = cut > 0 ? cut : line.n;
        buf_pad(text, ' ', at);
        buf_add(text, line);
        end_line(text);
        rest = str_trim(str_cut(rest, line.n, rest.n));
        at = indent;
    }
}

/* A ruled title: NAME left ------ right; what is on the right goes below where there is no room for
 * it beside at least NAME_LEAST columns of the left. */
static void add_title(struct page_plan *plan, struct buf *text, struct str name, struct str left,
                      struct str right)
{
    enum { NAME_MOST = 24, NAME_LEAST = 20 };
    size_t start = text->n, width = plan->paper.width;
    str_escape(text, name, NAME_MOST);
    size_t used = str_width(str_cut(buf_str(text), start, text->n));
    buf_pad(text, ' ', used < LABEL - 1 ? LABEL - used : 1);
    used = used < LABEL - 1 ? LABEL : used + 1;
    size_t least = str_width(left) < NAME_LEAST ? str_width(left) : NAME_LEAST;
    bool is_below = used + least + str_width(right) + 4 > width;
    size_t taken = used + (right.n == 0 || is_below ? 0 : str_width(right) + 4);
    str_escape(text, left, width - taken);
    used = str_width(str_cut(buf_str(text), start, text->n));
    size_t end = right.n == 0 || is_below ? width : width - str_width(right) - 1;
    if (used + 1 < end) {
        if (left.n > 0)
            buf_char(text, ' ');
        buf_pad(text, '-', end - used - (left.n > 0));
    }
    if (right.n > 0 && !is_below) {
        buf_char(text, ' ');
        buf_add(text, right);
    }
    end_line(text);
    if (is_below)
        add_paragraph(plan, text, LABEL + 2, "", NULL, right);
}

/* What stands in one row of a blank. */
static void write_cell(struct buf *cell, const struct sheet *sheet, const struct sheet_stop *stop,
                       int reads, int row)
{
    cell->n = 0;
    if (row < SHEET_ROWS)
        sheet_write_cell(cell, sheet, stop, reads, (enum sheet_row)row);
    else if (row == NOW)
        buf_pad(cell, '_', BLANK);
}

/* The rows of up to `count` blanks: headings, last figures, what is expected, where to write. */
static void add_blanks(struct page_plan *plan, struct buf *text, const struct sheet_stop *stop,
                       const int *reads, size_t count, size_t slot, bool first)
{
    static const char *const LABELS[ROWS] = {"", "  last", "  expect", "", "  now"};
    static const char *const TIMES[ROWS] = {"  time", NULL, "", "", "  _____"};
    const struct sheet *sheet = plan->sheet;
    size_t end = LABEL + TIME + 1 + count * slot;
    bool has_note = end + NOTE_LEAST <= plan->paper.width;
    struct buf cell = buf_new(plan->arena);
    for (int row = 0; row < ROWS; row++) {
        if (sheet_lacks_row(sheet, row))
            continue;
        size_t start = text->n;
        buf_add(text, str_of(LABELS[row]));
        if (first && TIMES[row] != NULL)
            put_at(text, start, LABEL, str_of(TIMES[row]));
        if (first && row == SHEET_LAST && stop->last_at != 0) {
            cell.n = 0;
            sheet_write_when(&cell, sheet, stop->last_at);
            put_at(text, start, LABEL + 2, buf_str(&cell));
        }
        for (size_t i = 0; i < count; i++) {
            write_cell(&cell, sheet, stop, reads[i], row);
            put_at(text, start, LABEL + TIME + 1 + i * slot, buf_str(&cell));
        }
        if (has_note && row == SHEET_HEADING)
            put_at(text, start, end, STR("note"));
        if (has_note && row == NOW)
            put_line(text, start, end, plan->paper.width);
        end_line(text);
    }
    if (!has_note && first) {
        size_t start = text->n;
        put_at(text, start, 2, STR("note"));
        put_line(text, start, LABEL + TIME + 1, plan->paper.width);
        end_line(text);
    }
}

static void add_lines(struct page_plan *plan, struct buf *text, const struct sheet_lines *lines,
                      const char *mark)
{
    static const char *const MARKS[] = {NULL, "! ", "! warn: ", "! ALARM: "};
    for (const struct sheet_line *it = lines->first; it != NULL; it = it->next)
        add_paragraph(plan, text, LABEL + 2, mark, MARKS[it->level], str_of(it->text));
}

static void add_all_blanks(struct page_plan *plan, struct buf *text, const struct sheet_stop *stop)
{
    int reads[SHEET_CELLS];
    size_t n = 0, slot = SLOT;
    struct buf cell = buf_new(plan->arena);
    for (size_t i = 0; i < SHEET_CELLS; i++) {
        if (!stop->cells[SHEET_ORDER[i]].is_due)
            continue;
        reads[n++] = SHEET_ORDER[i];
        for (int row = 0; row < SHEET_ROWS; row++) {
            write_cell(&cell, plan->sheet, stop, SHEET_ORDER[i], row);
            size_t width = str_width(buf_str(&cell));
            slot = width + 1 > slot ? width + 1 : slot;
        }
    }
    size_t most = (plan->paper.width - LABEL - TIME - 1 + slot - BLANK) / slot;
    for (size_t i = 0; i < n; i += most)
        add_blanks(plan, text, stop, reads + i, n - i < most ? n - i : most, slot, i == 0);
}

static void add_stop(struct page_plan *plan, const struct sheet_stop *stop)
{
    if (stop->course == NULL && plan->sheet->is_part && !plan->sheet->is_blank)
        return;
    struct buf text = buf_new(plan->arena);
    struct buf left = buf_new(plan->arena), right = buf_new(plan->arena);
    if (stop->course != NULL) {
        buf_add(&left, text_of(stop->course->batch->number));
        buf_char(&left, ' ');
        buf_add(&left, text_of(stop->course->batch->beer));
        sheet_write_facts(&right, plan->sheet, stop);
    } else if (plan->sheet->is_blank) {
        buf_add(&left, STR("batch __________  beer ______________________  day _____"));
    } else {
        sheet_write_empty(&left, plan->sheet, stop);
    }
    add_title(plan, &text, stop->place->name, buf_str(&left), buf_str(&right));
    add_lines(plan, &text, &stop->alerts, "! ");
    if (stop->verdict != NULL)
        add_paragraph(plan, &text, LABEL + 2, "> ", NULL, str_of(stop->verdict));
    add_lines(plan, &text, &stop->tasks, "> ");
    if (stop->is_visited) {
        add_all_blanks(plan, &text, stop);
    } else if (stop->course != NULL) {
        struct buf why = buf_new(plan->arena);
        sheet_write_why_not(&why, stop);
        add_paragraph(plan, &text, LABEL + 2, "> ", NULL, buf_str(&why));
    }
    add_block(plan, &text);
}

/* The first block: what comes before the walk. */
static void add_opening(struct page_plan *plan)
{
    const struct sheet *sheet = plan->sheet;
    struct buf text = buf_new(plan->arena), words = buf_new(plan->arena);
    if (sheet->meters.n > 0 || sheet->alerts.first != NULL || sheet->look_first != NULL)
        add_title(plan, &text, STR("FIRST"), STR(""), STR(""));
    if (sheet->look_first != NULL)
        add_paragraph(plan, &text, LABEL + 2, "! ", "! look at: ", str_of(sheet->look_first));
    add_lines(plan, &text, &sheet->alerts, "! ");
    for (size_t i = 0; i < sheet->meters.n; i++) {
        words.n = 0;
        buf_add(&words, STR("> calibrate "));
        sheet_write_meter(&words, sheet, sheet->meters.items[i]);
        size_t start = text.n;
        put_at(&text, start, LABEL, buf_str(&words));
        if (LABEL + str_width(buf_str(&words)) + 7 > plan->paper.width) {
            end_line(&text);
            start = text.n;
        }
        put_at(&text, start, plan->paper.width - 5, STR("_____"));
        end_line(&text);
    }
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
            /* end is 0 without blocks: */
            /* NOLINTNEXTLINE(clang-analyzer-core.NullDereference) */
            fwrite(plan.blocks[from].text.p, 1, plan.blocks[from].text.n, out);
    }
}
