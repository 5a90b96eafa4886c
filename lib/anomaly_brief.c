#include "anomaly_brief.h"

#include "civil.h"
#include "words.h"

void anomaly_brief(struct buf *text, const struct cellar *cellar, int64_t now,
                   const struct anomaly_finding *finding)
{
    buf_add(text, finding->reading);
    if (civil_day(cellar->zone, finding->at) < civil_day(cellar->zone, now) - 1) {
        buf_add(text, STR(", "));
        words_day(text, cellar, finding->at);
    }
    if (finding->expected.n > 0) {
        buf_add(text, STR(", expected "));
        buf_add(text, finding->expected);
    }
    if (finding->unconfirmed)
        buf_add(text, STR(" (unconfirmed)"));
}

struct str anomaly_brief_first(const struct anomaly_finding *finding)
{
    struct str first = str_of(ANOMALY_RULES[finding->rule].first), rest = first;
    return finding->level == ANOMALY_ALARM ? first : str_split(&rest, ';');
}
