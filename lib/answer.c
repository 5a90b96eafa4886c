#include "answer.h"

#include <stdio.h>

static size_t column_of(const char *from, const char *to)
{
    size_t column = 1;
    for (; from < to; from++)
        column += ((unsigned char)*from & 0xC0) != 0x80;
    return column;
}

static void tell(void *context, enum figures_remark_level level, struct str part,
                 const char *message)
{
    struct answer *answer = context;
    size_t column = answer->line == 0 ? 1 : column_of(answer->text.p, part.p);
    answer->tell(answer->context, level, answer->line, column, part, message);
}

void answer_begin(struct answer *answer)
{
    answer->convert.tell = tell;
    answer->convert.context = answer;
    convert_begin(&answer->convert);
}

static enum answer_status worse(enum answer_status status, enum answer_status other)
{
    return other > status ? other : status;
}

static enum answer_status answer_one(struct answer *answer, struct str text)
{
    if (convert_is_set(text) && !answer->met) {
        answer->met = true;
        if (!answer->meet_set(answer->context))
            return ANSWER_MISUSED;
    }
    enum convert_status status = convert_text(&answer->convert, text);
    if (status == CONVERT_MISUSED && answer->line == 0)
        return ANSWER_MISUSED;
    return status == CONVERT_OK ? ANSWER_OK : ANSWER_REFUSED;
}

enum answer_status answer_operands(struct answer *answer, char **operands, size_t n)
{
    struct buf joined = buf_new(answer->convert.arena);
    for (size_t i = 0; i < n; i++)
        buf_printf(&joined, "%s%s", i == 0 ? "" : " ", operands[i]);
    struct str rest = str_trim(buf_str(&joined));
    enum answer_status status = ANSWER_OK;
    if (rest.n == 0) {
        tell(answer, FIGURES_ERROR, rest, "an empty value");
        return ANSWER_MISUSED;
    }
    if (convert_is_set(rest))
        return answer_one(answer, rest);
    while (str_trim(rest).n > 0)
        status = worse(status, answer_one(answer, convert_next_value(&rest)));
    return status;
}

static enum answer_status refuse_long(struct answer *answer)
{
    tell(answer, FIGURES_ERROR, answer->text, "the line is too long");
    return ANSWER_REFUSED;
}

static enum answer_status answer_line(struct answer *answer, bool is_whole)
{
    const struct convert *convert = &answer->convert;
    bool blank = str_trim(answer->text).n == 0;
    enum answer_status status = !is_whole ? refuse_long(answer)
                                : blank   ? ANSWER_OK
                                          : answer_one(answer, answer->text);
    bool refused =
        status != ANSWER_OK && convert->target_count > 0 && !convert_is_set(answer->text);
    if (!convert->tsv && (blank || refused))
        putc('\n', convert->out);
    return status;
}

enum answer_status answer_lines(struct answer *answer, struct lines *lines)
{
    enum lines_status got;
    enum answer_status status = ANSWER_OK;
    while ((got = lines_next(lines, &answer->text)) <= LINES_TOO_LONG) {
        answer->line = lines->number;
        status = worse(status, answer_line(answer, got == LINES_OK));
        arena_reset(answer->convert.arena);
    }
    return got == LINES_FAILED ? ANSWER_UNREADABLE : status;
}
