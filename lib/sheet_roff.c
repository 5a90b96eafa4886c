#include "sheet_roff.h"

#include "roff.h"
#include "sheet_words.h"

#include <string.h>

static const struct sheet_paper PAPERS[] = {{"a4", 595, 842}, {"letter", 612, 792}, {NULL, 0, 0}};

/* All in points. */
enum {
    MARGIN_LEFT = 45, /* a clip or two holes */
    MARGIN_RIGHT = 33,
    MARGIN_TOP = 34,
    MARGIN_BOTTOM = 34,
    HEADING = 50, /* of a page, with the space after it */
    LINE = 12,    /* from one line of text to the next */
    GAP = 8,      /* before a block */
    TITLE = 17,
    BOX = 24,        /* to write in */
    RULED = 5,       /* what the rules of a box add to its rows, at most */
    TIME = 57,       /* width of the first column */
    CELL = 79,       /* of a figure */
    CELL_LEAST = 60, /* "pressure bar" in bold */
    BETWEEN = 5,     /* what tbl puts between columns: one en */
    NAME_MOST = 30,  /* characters of a tank's name */
    NOTE_GOOD = 80,
    NOTE_LEAST = 20 /* a narrower column of notes is left out */
};

/* A character of running text in Helvetica of 10 points, and how much of a line is lost where it is
 * broken at a blank: lines of a paragraph are counted by these, and the margin below bears an
 * error of one. */
#define CHARACTER 4.5
#define BROKEN    20

/* A part of the sheet that stays together. */
struct block {
    struct str roff;
    int height;
};

struct layout {
    const struct sheet *sheet;
    const struct sheet_paper *paper;
    struct arena *arena;
    struct roff *letters;
    struct block *blocks;
    size_t n, capacity;
};

const struct sheet_paper *sheet_paper_find(struct str name)
{
    for (const struct sheet_paper *it = PAPERS; it->name != NULL; it++)
        if (str_is(name, it->name))
            return it;
    return NULL;
}

static int text_width(const struct layout *layout)
{
    return layout->paper->width - MARGIN_LEFT - MARGIN_RIGHT;
}

static void add_block(struct layout *layout, const struct buf *roff, int height)
{
    if (layout->n == layout->capacity)
        layout->blocks =
            arena_grow(layout->arena, layout->blocks, &layout->capacity, sizeof *layout->blocks);
    layout->blocks[layout->n++] = (struct block){buf_str(roff), height};
}

/* A paragraph; returns its height. */
static int add_paragraph(const struct layout *layout, struct buf *roff, const char *lead,
                         struct str text)
{
    buf_add(roff, STR(".br\n"));
    if (lead != NULL)
        buf_printf(roff, "\\fB%s\\fP ", lead);
    roff_add(layout->letters, roff, text, 0);
    buf_char(roff, '\n');
    double columns = (double)(str_width(text) + (lead == NULL ? 0 : strlen(lead) + 1));
    return LINE * (1 + (int)(columns * CHARACTER / (text_width(layout) - BROKEN)));
}

static int add_lines(const struct layout *layout, struct buf *roff, const struct sheet_lines *lines)
{
    static const char *const LEADS[] = {NULL, "note", "Warning.", "ALARM."};
    int height = 0;
    for (const struct sheet_line *it = lines->first; it != NULL; it = it->next)
        height += add_paragraph(layout, roff, LEADS[it->level], str_of(it->text));
    return height;
}

/* NAME left ... right; what is on the right goes below where there is no room for it. */
static int add_title(const struct layout *layout, struct buf *roff, struct str name,
                     struct str left, struct str right)
{
    size_t room = (size_t)(text_width(layout) / 5.6);
    size_t used = str_width(name) < NAME_MOST ? str_width(name) : NAME_MOST;
    bool is_below = used * 3 / 2 + str_width(left) + str_width(right) + 4 > room;
    buf_printf(roff, ".sp %dp\n.ta %dpR\n.vs %dp\n\\s[14]\\fB", GAP, text_width(layout), TITLE);
    roff_add(layout->letters, roff, name, NAME_MOST);
    buf_add(roff, STR("\\fP\\s0\\h'12p'\\s[11]\\fB"));
    roff_add(layout->letters, roff, left, room - used * 3 / 2 - 4);
    buf_add(roff, STR("\\fP\\s0"));
    if (right.n > 0 && !is_below) {
        buf_char(roff, '\t');
        roff_add(layout->letters, roff, right, 0);
    }
    buf_printf(roff, "\n.br\n.vs %dp\n", LINE);
    int height = GAP + TITLE;
    return is_below ? height + add_paragraph(layout, roff, NULL, right) : height;
}

/* Boxes give way a little where else there would be no room for a note. */
static int cell_width(const struct layout *layout, size_t count)
{
    int room = text_width(layout) - TIME - 3 * BETWEEN - NOTE_GOOD;
    int cell = room / (int)count - BETWEEN;
    return cell > CELL ? CELL : cell < CELL_LEAST ? CELL : cell;
}

/* How tbl is to lay out the boxes: the time, so many figures, a note if it is not 0 wide. */
static void add_format(struct buf *roff, size_t count, int width, int note)
{
    size_t more = count + (note > 0);
    buf_printf(roff, ".TS\nbox tab(\t);\nlbw(%dp)1", TIME);
    for (size_t i = 1; i <= count; i++)
        buf_printf(roff, " | lbw(%dp)%s", width, i < more ? "1" : "");
    if (note > 0)
        buf_printf(roff, " | lbw(%dp)", note);
    buf_add(roff, STR("\nl1"));
    for (size_t i = 1; i <= more; i++)
        buf_add(roff, i < more ? STR(" | l1") : STR(" | l"));
    buf_add(roff, STR(".\n"));
}

/* What stands before the figures of a row, under "time". */
static void add_row_lead(struct buf *roff, const struct sheet *sheet, const struct sheet_stop *stop,
                         int row)
{
    if (row == SHEET_ROWS)
        buf_printf(roff, "_\n\\x'-%dp'\\&", BOX - LINE);
    else if (row == SHEET_HEADING)
        buf_add(roff, STR("time"));
    else if (row == SHEET_EXPECTED)
        buf_add(roff, STR("expect"));
    else if (stop->last_at != 0) {
        buf_add(roff, STR("last "));
        sheet_write_when(roff, sheet, stop->last_at);
    }
}

/* The rows of one ruled table; the last one is to write in. */
static int add_boxes(const struct layout *layout, struct buf *roff, const struct sheet_stop *stop,
                     const int *reads, size_t count)
{
    const struct sheet *sheet = layout->sheet;
    int width = cell_width(layout, count);
    int note = text_width(layout) - TIME - (int)count * (width + BETWEEN) - 3 * BETWEEN;
    bool has_note = note >= NOTE_LEAST;
    add_format(roff, count, width, has_note ? note : 0);
    for (int row = 0; row <= SHEET_ROWS; row++) {
        if (sheet_lacks_row(sheet, row))
            continue;
        add_row_lead(roff, sheet, stop, row);
        for (size_t i = 0; i < count; i++) {
            struct buf text = buf_new(layout->arena);
            if (row < SHEET_ROWS)
                sheet_write_cell(&text, sheet, stop, reads[i], (enum sheet_row)row);
            buf_char(roff, '\t');
            if (text.n > 0)
                roff_add(layout->letters, roff, buf_str(&text), 0);
        }
        if (has_note)
            buf_add(roff, row == SHEET_HEADING ? STR("\tnote") : STR("\t"));
        buf_char(roff, '\n');
    }
    buf_add(roff, STR(".TE\n"));
    return (sheet->is_blank ? 1 : 3) * LINE + BOX + RULED;
}

static int add_all_boxes(const struct layout *layout, struct buf *roff,
                         const struct sheet_stop *stop)
{
    int reads[SHEET_CELLS], height = 0;
    size_t n = 0, most = (size_t)((text_width(layout) - TIME - BETWEEN) / (CELL + BETWEEN));
    for (size_t i = 0; i < SHEET_CELLS; i++)
        if (stop->cells[SHEET_ORDER[i]].is_due)
            reads[n++] = SHEET_ORDER[i];
    for (size_t i = 0; i < n; i += most)
        height += add_boxes(layout, roff, stop, reads + i, n - i < most ? n - i : most);
    return height;
}

static void add_stop(struct layout *layout, const struct sheet_stop *stop)
{
    const struct sheet *sheet = layout->sheet;
    if (stop->course == NULL && sheet->is_part && !sheet->is_blank)
        return;
    struct buf roff = buf_new(layout->arena);
    struct buf left = buf_new(layout->arena), right = buf_new(layout->arena);
    if (stop->course != NULL) {
        buf_add(&left, text_of(stop->course->batch->number));
        buf_char(&left, ' ');
        buf_add(&left, text_of(stop->course->batch->beer));
        sheet_write_facts(&right, sheet, stop);
    } else if (sheet->is_blank) {
        buf_add(&left, STR("batch ________ beer __________________ day ____"));
    } else {
        sheet_write_empty(&right, sheet, stop);
    }
    int height = add_title(layout, &roff, stop->place->name, buf_str(&left), buf_str(&right));
    height += add_lines(layout, &roff, &stop->alerts);
    if (stop->verdict != NULL)
        height += add_paragraph(layout, &roff, NULL, str_of(stop->verdict));
    height += add_lines(layout, &roff, &stop->tasks);
    if (stop->is_visited) {
        height += add_all_boxes(layout, &roff, stop);
    } else if (stop->course != NULL) {
        struct buf why = buf_new(layout->arena);
        sheet_write_why_not(&why, stop);
        height += add_paragraph(layout, &roff, NULL, buf_str(&why));
    }
    add_block(layout, &roff, height);
}

static void add_opening(struct layout *layout)
{
    const struct sheet *sheet = layout->sheet;
    struct buf roff = buf_new(layout->arena);
    int height = 0;
    if (sheet->meters.n > 0 || sheet->alerts.first != NULL || sheet->look_first != NULL)
        height += add_title(layout, &roff, STR("First"), STR(""), STR(""));
    if (sheet->look_first != NULL)
        height += add_paragraph(layout, &roff, "Look at:", str_of(sheet->look_first));
    height += add_lines(layout, &roff, &sheet->alerts);
    for (size_t i = 0; i < sheet->meters.n; i++) {
        struct buf words = buf_new(layout->arena);
        sheet_write_meter(&words, sheet, sheet->meters.items[i]);
        buf_printf(&roff, ".br\n.vs %dp\n", BOX);
        buf_add(&roff, STR("\\fBCalibrate\\fP "));
        roff_add(layout->letters, &roff, buf_str(&words), 0);
        buf_printf(&roff, "\tdone at \\l'70p'\n.br\n.vs %dp\n", LINE);
        height += BOX;
    }
    if (height > 0)
        add_block(layout, &roff, height);
}

static void add_checks(struct layout *layout)
{
    const struct sheet *sheet = layout->sheet;
    struct buf roff = buf_new(layout->arena);
    size_t n = 0;
    int height = add_title(layout, &roff, STR("Plant"), STR(""), STR(""));
    int name = text_width(layout) - 4 * (CELL + BETWEEN) - 3 * BETWEEN;
    buf_printf(&roff,
               ".TS\nbox tab(\t);\nlbw(%dp)1 | lbw(%dp)1 | lbw(%dp)1 | lbw(%dp)1 | "
               "lbw(%dp)\nl1 | l1 | l1 | l1 | l.\nwhat\tlast\texpect\ttime\tnow\n",
               name, CELL, CELL, TIME, 2 * CELL - TIME);
    for (size_t i = 0; i < sheet->checks.n; i++) {
        const struct sheet_check *check = &sheet->checks.items[i];
        if (!check->cell.is_due)
            continue;
        struct buf text = buf_new(layout->arena);
        buf_printf(&roff, "_\n\\x'-%dp'\\x'%dp'", (BOX - LINE) / 2, (BOX - LINE) / 2);
        roff_add(layout->letters, &roff, check->name, (size_t)name / 6);
        buf_char(&roff, '\t');
        sheet_write_last(&text, sheet, &check->cell, check->quantity, check->unit,
                         sheet->now - CIVIL_DAY);
        if (text.n > 0)
            roff_add(layout->letters, &roff, buf_str(&text), 0);
        buf_char(&roff, '\t');
        text.n = 0;
        sheet_write_expected(&text, &check->cell.expected, check->quantity, check->unit);
        if (text.n > 0)
            roff_add(layout->letters, &roff, buf_str(&text), 0);
        buf_add(&roff, STR("\t\t\\h'78p'"));
        if (check->unit != NULL)
            roff_add(layout->letters, &roff, str_of(check->unit->name), 0);
        buf_char(&roff, '\n');
        height += BOX;
        n++;
    }
    buf_add(&roff, STR(".TE\n"));
    if (n > 0)
        add_block(layout, &roff, height + LINE + RULED);
}

static void write_prologue(FILE *out, const struct layout *layout)
{
    const struct sheet_paper *paper = layout->paper;
    fprintf(out,
            ".\\\" For groff -t, with -Tpdf or -Tps.\n"
            ".if '\\*(.T'pdf' \\X'papersize=%dp,%dp'\n"
            ".pl %dp\n.po %dp\n.ll %dp\n.fam H\n.ps 10\n.vs %dp\n.nh\n.ad l\n",
            paper->width, paper->length, paper->length, MARGIN_LEFT, text_width(layout), LINE);
}

static void write_heading(FILE *out, const struct layout *layout, size_t page, size_t pages,
                          bool is_top)
{
    const struct sheet *sheet = layout->sheet;
    struct buf text = buf_new(layout->arena);
    char date[CIVIL_SHORT_SIZE];
    roff_add(layout->letters, &text, text_of(sheet->cellar->name), NAME_MOST + 10);
    fprintf(out,
            "%s.sp |%dp\n.ta %dpR\n\\s[14]\\fB%s\\fP\\s0\\h'12p'round of \\fB%s %d\\fP\t"
            "page %zu of %zu\n.br\n.sp 10p\n"
            "by \\l'50p'\\h'10p'start \\l'45p'\\h'10p'end \\l'45p'\\h'10p'pH meter \\l'55p'\\h'10p'"
            "gravity meter \\l'55p'\n.br\n",
            is_top ? "" : ".bp\n", MARGIN_TOP, text_width(layout), text.p,
            civil_short_date(sheet->today, date), civil_date_of_day(sheet->today).year, page,
            pages);
}

static size_t page_end(const struct layout *layout, size_t from)
{
    int room = layout->paper->length - MARGIN_TOP - MARGIN_BOTTOM - HEADING;
    size_t end = from;
    for (int used = 0; end < layout->n; end++) {
        used += layout->blocks[end].height;
        if (used > room && end > from)
            break;
    }
    return end;
}

void sheet_roff_write(FILE *out, const struct sheet *sheet, const struct sheet_paper *paper,
                      bool is_first)
{
    struct roff letters = {.arena = sheet->arena};
    struct layout layout = {
        .sheet = sheet, .paper = paper, .arena = sheet->arena, .letters = &letters};
    add_opening(&layout);
    for (size_t i = 0; i < sheet->stops.n; i++)
        add_stop(&layout, &sheet->stops.items[i]);
    add_checks(&layout);
    size_t pages = 0, page = 0;
    for (size_t from = 0; from < layout.n || pages == 0; from = page_end(&layout, from))
        pages++;
    if (is_first)
        write_prologue(out, &layout);
    roff_write_fallbacks(out, &letters);
    for (size_t from = 0; from < layout.n || page == 0;) {
        size_t end = page_end(&layout, from);
        page++;
        write_heading(out, &layout, page, pages, is_first && page == 1);
        for (; from < end && layout.blocks != NULL; from++)
            fwrite(layout.blocks[from].roff.p, 1, layout.blocks[from].roff.n, out);
    }
}
