#include "anomaly.h"

#include "anomaly_case.h"
#include "anomaly_run.h"
#include "civil.h"
#include "order.h"

#include <math.h>

#define COLD_SAMPLE 10.0 /* C; buffers are at 20 */

const char *const ANOMALY_LEVELS[] = {"", "note", "warn", "alarm"};

const struct anomaly_info ANOMALY_RULES[ANOMALY_COUNT] = {
#define ANOMALY(id, name, level, alone, scope, reads, judge, meaning, normal, causes, first,       \
                caution)                                                                           \
    [id] = {name, level, alone, scope, reads, judge, meaning, normal, causes, first, caution},
#include "anomaly.def"
};

/* A finding says nothing new while another one of the same tank does. */
static const struct {
    enum anomaly_rule by, hidden;
} HIDES[] = {
    {ANOMALY_PRESSURE_RATED, ANOMALY_PRESSURE_RISING},
    {ANOMALY_PH_ABOVE_WORT, ANOMALY_SLOW_START},
    {ANOMALY_PH_ACID_EARLY, ANOMALY_PH_LOW},
    {ANOMALY_TEMP_NOT_FALLING, ANOMALY_TEMP_COLD},
    {ANOMALY_PH_HOLD, ANOMALY_PH_NOT_PASSED},
    {ANOMALY_PH_HOLD, ANOMALY_PH_FINAL},
    {ANOMALY_PH_NOT_PASSED, ANOMALY_PH_FINAL},
    {ANOMALY_PH_LOW, ANOMALY_PH_FINAL},
    {ANOMALY_STUCK, ANOMALY_STALLED},
    {ANOMALY_SLOW_START, ANOMALY_STALLED},
    {ANOMALY_CHILLED_EARLY, ANOMALY_STALLED},
    {ANOMALY_CHILLED_EARLY, ANOMALY_STUCK},
    {ANOMALY_VDK_HIGH, ANOMALY_VDK_RISING},
    {ANOMALY_SLOW_START, ANOMALY_SLOW_COURSE},
    {ANOMALY_STALLED, ANOMALY_SLOW_COURSE},
    {ANOMALY_STUCK, ANOMALY_SLOW_COURSE},
    {ANOMALY_GRAVITY_RISING, ANOMALY_SLOW_COURSE},
    {ANOMALY_GRAVITY_BELOW, ANOMALY_FAST_COURSE},
    {ANOMALY_SLOW_START, ANOMALY_PH_COURSE},
    {ANOMALY_PH_ABOVE_WORT, ANOMALY_PH_COURSE},
    {ANOMALY_PH_ACID_EARLY, ANOMALY_PH_COURSE},
    {ANOMALY_PH_LOW, ANOMALY_PH_COURSE},
    {ANOMALY_PH_HOLD, ANOMALY_PH_COURSE},
    {ANOMALY_PH_NOT_PASSED, ANOMALY_PH_COURSE},
    {ANOMALY_PH_FINAL, ANOMALY_PH_COURSE},
};

enum anomaly_rule anomaly_find(struct str name)
{
    for (int i = 0; i < ANOMALY_COUNT; i++)
        if (str_is(name, ANOMALY_RULES[i].name))
            return (enum anomaly_rule)i;
    return ANOMALY_COUNT;
}

enum anomaly_level anomaly_level_of(struct str name)
{
    for (int level = ANOMALY_NOTE; level <= ANOMALY_ALARM; level++)
        if (str_is(name, ANOMALY_LEVELS[level]))
            return (enum anomaly_level)level;
    return ANOMALY_NONE;
}

static const char *rule_name(const void *table, size_t i)
{
    return ((const struct anomaly_info *)table)[i].name;
}

const char *anomaly_nearest(struct str name)
{
    return str_nearest(name, rule_name, ANOMALY_RULES, ANOMALY_COUNT);
}

size_t anomaly_walk_order(const struct anomaly_book *book, struct str tank)
{
    const struct cellar *cellar = book->cellar;
    size_t place = cellar_walk_place(cellar, tank);
    for (size_t i = 0; place == cellar->walk.n && i < cellar->tanks.n; i++)
        if (str_eq(name_of(cellar->tanks.items[i].node), tank))
            return place + i;
    return place < cellar->walk.n ? place : cellar->walk.n + cellar->tanks.n;
}

const struct quantity_unit *anomaly_gravity_unit(const struct anomaly_book *book)
{
    const struct quantity_unit *house =
        book->house_units ? book->cellar->house[QUANTITY_GRAVITY] : NULL;
    return house != NULL ? house : quantity_library_unit(QUANTITY_GRAVITY);
}

int64_t anomaly_told_since(const struct anomaly_run *run, int days)
{
    int64_t since = run->book->now - days * CIVIL_DAY;
    return run->book->since < since ? run->book->since : since;
}

struct anomaly_finding anomaly_finding_of(enum anomaly_rule rule, int64_t at)
{
    return (struct anomaly_finding){
        .rule = rule, .level = ANOMALY_RULES[rule].level, .at = at, .since = at, .times = 1};
}

struct anomaly_finding *anomaly_add(struct anomaly_run *run, struct anomaly_finding finding)
{
    if (run->findings.n == run->capacity)
        run->findings.items = arena_grow(run->book->arena, run->findings.items, &run->capacity,
                                         sizeof *run->findings.items);
    run->findings.items[run->findings.n] = finding;
    return &run->findings.items[run->findings.n++];
}

static bool has_words(struct str text)
{
    return text.n > 0;
}

/* The meter first. */

/* Notes that a figure read with a doubtful meter surprised; the meter pass reports it once. */
static void blame(struct anomaly_run *run, const struct meter *meter, int64_t at, unsigned doubts)
{
    for (size_t i = 0; i < run->blame_count; i++)
        if (run->blames[i].meter == meter &&
            civil_day(run->book->cellar->zone, run->blames[i].at) ==
                civil_day(run->book->cellar->zone, at)) {
            run->blames[i].figures++;
            run->blames[i].doubts |= doubts;
            return;
        }
    if (run->blame_count == run->blame_capacity)
        run->blames =
            arena_grow(run->book->arena, run->blames, &run->blame_capacity, sizeof *run->blames);
    run->blames[run->blame_count++] = (struct anomaly_blame){meter, at, doubts, 1};
}

/* The doubts of the meters that the finding's figures were read with. */
static void doubt(struct anomaly_run *run, const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct civil_zone *zone = run->book->cellar->zone;
    for (int reads = 0; reads < READS_COUNT; reads++) {
        if ((ANOMALY_RULES[f->rule].reads >> reads & 1U) == 0 || c->reading->meter[reads] == NULL)
            continue;
        const struct meter *meter = meter_find(&run->meters, c->reading->meter[reads]->text);
        if (meter == NULL || (int)meter->reads != reads)
            continue;
        unsigned doubts = meter_doubts(meter, zone, c->at, &c->reading->figure[reads]);
        if (doubts == 0)
            continue;
        struct buf buf = buf_new(run->book->arena);
        meter_write_doubt(&buf, meter, zone, anomaly_gravity_unit(run->book), c->at, doubts);
        f->doubt = buf_str(&buf);
        blame(run, meter, c->at, doubts);
    }
    if (has_words(f->doubt) && f->level > ANOMALY_NOTE)
        f->level--;
}

/* pH of beer far colder than the buffers: the sample wants warming, or the meter its temperature
 * (5 C apart has no effect but in exacting work: USGS I-2587-85). */
static void mention_cold_sample(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct figure *temp = anomaly_figure(c, READS_TEMP);
    if ((ANOMALY_RULES[f->rule].reads >> READS_PH & 1U) == 0 ||
        anomaly_figure(c, READS_PH) == NULL || temp == NULL || temp->value > COLD_SAMPLE)
        return;
    anomaly_say(c, &f->more, "%sthe beer was at %s: was the sample warmed?",
                has_words(f->more) ? "; " : "",
                anomaly_value(c, QUANTITY_TEMPERATURE, temp->value));
}

/* Courses. */

/* A rule's finding in one tank, as it goes on from reading to reading. */
struct episode {
    struct anomaly_finding finding;
    bool open;
    enum anomaly_level sound;      /* the highest level with a meter that is believed */
    const struct batch_seen *seen; /* entry at whose time it was gravest, before the last reading */
    enum anomaly_level seen_level; /* and how grave */
};

/* The seen: entry that came after the finding began, at whose time it was no milder than now. Goes
 * from reading to reading; before is how the reading before this one stood. */
static void acknowledge(struct anomaly_finding *f, struct episode *episode,
                        const struct anomaly_finding *before)
{
    for (size_t i = 0; i < f->batch->seen.n; i++) {
        const struct batch_seen *seen = &f->batch->seen.items[i];
        if (!seen->at.set || !str_is(text_of(seen->rule), ANOMALY_RULES[f->rule].name) ||
            seen->at.at < f->since)
            continue;
        if (seen->tank != NULL && !str_eq(seen->tank->text, f->tank))
            continue;
        if (seen->at.at >= f->at) {
            f->seen = seen;
        } else if (before != NULL && seen->at.at >= before->at &&
                   before->level >= episode->seen_level) {
            episode->seen = seen;
            episode->seen_level = before->level;
        }
    }
    if (f->seen == NULL && f->level <= episode->seen_level)
        f->seen = episode->seen;
}

static void close_episode(struct anomaly_run *run, struct episode *episode, bool ended)
{
    if (!episode->open)
        return;
    episode->open = false;
    episode->finding.ended = ended;
    anomaly_add(run, episode->finding);
}

static struct anomaly_finding blank(const struct anomaly_run *run, const struct anomaly_case *c,
                                    enum anomaly_rule rule)
{
    struct str tank = c->reading->where;
    if (c->course->stay != NULL && ANOMALY_RULES[rule].scope == ANOMALY_AS_OF_NOW)
        tank = c->course->stay->tank;
    struct anomaly_finding f = anomaly_finding_of(rule, c->at);
    f.tank = tank;
    f.batch = c->batch;
    f.order = anomaly_walk_order(run->book, tank);
    return f;
}

/* One rule at one reading: begins, goes on with or ends an episode. */
static void judge_reading(struct anomaly_run *run, const struct anomaly_case *c,
                          enum anomaly_rule rule, struct episode *episode)
{
    const struct anomaly_info *info = &ANOMALY_RULES[rule];
    struct anomaly_finding f = blank(run, c, rule);
    bool again = episode->open && str_eq(episode->finding.tank, f.tank);
    if (info->alone != ANOMALY_NONE && !again)
        f.level = info->alone;
    f.unconfirmed = info->alone != ANOMALY_NONE && !again;
    if (!info->judge(c, &f)) {
        close_episode(run, episode, true);
        return;
    }
    enum anomaly_level sound = f.level;
    doubt(run, c, &f);
    mention_cold_sample(c, &f);
    if (!again) {
        close_episode(run, episode, true);
        *episode = (struct episode){
            .finding = f, .open = true, .sound = !has_words(f.doubt) ? sound : ANOMALY_NONE};
        acknowledge(&episode->finding, episode, NULL);
        return;
    }
    /* a sound meter that said so before is not undone by one in doubt */
    const struct anomaly_finding *old = &episode->finding;
    if (has_words(f.doubt) && episode->sound >= f.level) {
        f.level = episode->sound;
        f.doubt = STR("");
    } else if (!has_words(f.doubt) && sound > episode->sound) {
        episode->sound = sound;
    }
    f.since = old->since;
    f.times = old->times + 1;
    acknowledge(&f, episode, old);
    episode->finding = f;
}

static bool has_figure(const struct reading *reading, unsigned reads)
{
    for (int i = 0; i < READS_COUNT; i++)
        if ((reads >> i & 1U) != 0 &&
            (figure_is_exact(&reading->figure[i]) || reading->figure[i].word != 0))
            return true;
    return false;
}

static struct anomaly_case case_at(const struct anomaly_run *run, const struct batch_course *course,
                                   size_t index, struct anomaly_cache *cache)
{
    const struct reading *reading = course->readings.items[index];
    const struct batch *batch = course->batch;
    struct anomaly_case c = {
        .book = run->book,
        .meters = &run->meters,
        .batch = batch,
        .course = course,
        .beer = batch->type,
        .practice = &PRACTICE[batch->yeast],
        .index = index,
        .reading = reading,
        .at = reading->at.at,
        .hours = NAN,
        .tank = cellar_tank(run->book->cellar, reading->where),
        .cache = cache,
    };
    cache->has_finish = false;
    if (batch->has_zero)
        c.hours = anomaly_hours(batch->zero, c.at);
    return c;
}

/* What the beer's earlier batches did. The book keeps their courses, not their files. */
static void look_back(const struct anomaly_run *run, const struct batch *batch,
                      struct anomaly_cache *cache)
{
    struct arena *arena = run->book->arena;
    cache->baseline = (struct limit_baseline){.low_plato = NAN, .high_plato = NAN};
    cache->earlier = NULL;
    if (run->book->history == NULL)
        return;
    struct history_list list = history_before(run->book->history, batch, run->book->now, arena);
    cache->baseline = history_limit(&list, arena);
    if (list.n < HISTORY_FEWEST || !batch->has_zero)
        return;
    struct baseline *earlier = arena_alloc(arena, sizeof *earlier);
    *earlier = baseline_until(&list, (double)(run->book->now - batch->zero) / CIVIL_HOUR, arena);
    cache->earlier = earlier;
}

/* The rules of the whole course, at its last reading and as of now. */
static void judge_now(struct anomaly_run *run, const struct batch_course *course,
                      struct anomaly_over over, struct anomaly_cache *cache)
{
    struct anomaly_case c = case_at(run, course, course->readings.n - 1, cache);
    c.over = over;
    c.at = run->book->now;
    if (course->batch->has_zero)
        c.hours = anomaly_hours(course->batch->zero, c.at);
    for (int rule = 0; rule < ANOMALY_COUNT; rule++) {
        if (ANOMALY_RULES[rule].scope != ANOMALY_AS_OF_NOW)
            continue;
        struct anomaly_finding f = blank(run, &c, (enum anomaly_rule)rule);
        f.at = f.since = c.reading->at.at;
        if (!ANOMALY_RULES[rule].judge(&c, &f))
            continue;
        acknowledge(&f, &(struct episode){.open = false}, NULL);
        anomaly_add(run, f);
    }
}

static void judge_course(struct anomaly_run *run, const struct batch_course *course)
{
    struct episode episodes[ANOMALY_COUNT] = {{.open = false}};
    struct anomaly_cache cache = {.has_sound = false};
    struct anomaly_over over = {.plato = NAN};
    look_back(run, course->batch, &cache);
    arena_init(&cache.scratch, run->book->arena->exhausted, run->book->arena->context);
    for (size_t i = 0; i < course->readings.n; i++) {
        struct anomaly_case c = case_at(run, course, i, &cache);
        c.over = over;
        for (int rule = 0; rule < ANOMALY_COUNT; rule++)
            if (ANOMALY_RULES[rule].scope == ANOMALY_AT_READING &&
                has_figure(c.reading, ANOMALY_RULES[rule].reads))
                judge_reading(run, &c, (enum anomaly_rule)rule, &episodes[rule]);
        if (anomaly_figure(&c, READS_GRAVITY) == NULL || !anomaly_is_over(&c))
            continue;
        const struct finish *finish = anomaly_finish(&c);
        if (!finish->fall_unconfirmed && !finish->below_unconfirmed)
            over = (struct anomaly_over){true, c.at, finish->gravity_plato};
    }
    for (int rule = 0; rule < ANOMALY_COUNT; rule++)
        close_episode(run, &episodes[rule], false);
    if (course->readings.n > 0)
        judge_now(run, course, over, &cache);
    arena_free(&cache.scratch);
}

/* What is told. */

static bool is_hidden(const struct anomaly_run *run, const struct anomaly_finding *f)
{
    for (size_t i = 0; i < sizeof HIDES / sizeof *HIDES; i++) {
        if (HIDES[i].hidden != f->rule)
            continue;
        for (size_t k = 0; k < run->findings.n; k++) {
            const struct anomaly_finding *other = &run->findings.items[k];
            if (other->rule == HIDES[i].by && other->batch == f->batch &&
                str_eq(other->tank, f->tank) && other->since <= f->at && other->at >= f->at)
                return true;
        }
    }
    return false;
}

/* What still is, in beer that is still here; from `since` on also what was. */
static bool is_told(const struct anomaly_run *run, const struct anomaly_finding *f)
{
    if (f->batch == NULL || f->at >= run->book->since)
        return !is_hidden(run, f);
    if (f->batch->ended || f->ended)
        return false;
    const struct batch_stay *stay = batch_stay_at(f->batch, f->tank, run->book->now);
    return (!has_words(f->tank) || stay != NULL) && !is_hidden(run, f);
}

/* Beer that was split shares its first readings: both courses find the same. */
static bool is_twice(const struct anomaly_findings *told, const struct anomaly_finding *f)
{
    for (size_t i = 0; i < told->n; i++) {
        const struct anomaly_finding *other = &told->items[i];
        if (other->rule == f->rule && other->batch == f->batch && other->at == f->at &&
            other->since == f->since && str_eq(other->tank, f->tank))
            return true;
    }
    return false;
}

static void keep_told(struct anomaly_run *run)
{
    struct anomaly_findings told = {
        arena_array(run->book->arena, run->findings.n + 1, sizeof *told.items), 0};
    for (size_t i = 0; i < run->findings.n; i++)
        if (is_told(run, &run->findings.items[i]) && !is_twice(&told, &run->findings.items[i]))
            told.items[told.n++] = run->findings.items[i];
    run->capacity = run->findings.n;
    run->findings = told;
}

/* Meters, tanks, the plant and the round, then what goes on from batch to batch. */
static int section_of(const struct anomaly_finding *f)
{
    enum anomaly_scope scope = ANOMALY_RULES[f->rule].scope;
    if (scope == ANOMALY_OF_METERS)
        return 0;
    return f->batch != NULL ? 1 : scope == ANOMALY_OF_BATCHES ? 3 : 2;
}

static int compare(const void *left, const void *right)
{
    const struct anomaly_finding *a = left, *b = right;
    int by_place =
        order_then(section_of(a) - section_of(b), order_of((int64_t)a->order, (int64_t)b->order));
    int by_weight = order_then(order_of(a->seen != NULL, b->seen != NULL),
                               order_of((int)b->level, (int)a->level));
    int by_time = order_then(order_of(a->at, b->at), order_of(a->rule, b->rule));
    return order_then(order_then(by_place, by_weight),
                      order_then(by_time, str_cmp(a->subject, b->subject)));
}

struct anomaly_book anomaly_book_of(const struct book *book, const struct shelf *shelf,
                                    struct arena *arena, int64_t now, int64_t since)
{
    const struct batch **batches = arena_array(arena, shelf->batches.n + 1, sizeof *batches);
    bool *asked = arena_array(arena, shelf->batches.n + 1, sizeof *asked);
    for (size_t i = 0; i < shelf->batches.n; i++) {
        batches[i] = shelf->batches.items[i].batch;
        asked[i] = shelf->batches.items[i].asked;
    }
    return (struct anomaly_book){
        .arena = arena,
        .cellar = book->cellar,
        .batches = batches,
        .asked = asked,
        .batch_count = shelf->batches.n,
        .history = &shelf->history,
        .plants = shelf->plants.items,
        .plant_count = shelf->plants.n,
        .plants_asked = shelf->plants_wanted,
        .now = now,
        .since = since,
    };
}

struct anomaly_findings anomaly_judge(const struct anomaly_book *book)
{
    struct anomaly_run run = {.book = book};
    run.meters = meter_all(book->arena, book->cellar,
                           (struct meter_logs){book->plants, book->plant_count}, book->now);
    size_t capacity = 0;
    for (size_t i = 0; i < book->batch_count; i++) {
        struct batch_courses courses = batch_courses(book->batches[i], book->arena, book->now);
        for (size_t k = 0; k < courses.n; k++) {
            if (run.course_count == capacity) {
                size_t flags = capacity;
                run.courses = arena_grow(book->arena, run.courses, &capacity, sizeof *run.courses);
                run.asked = arena_grow(book->arena, run.asked, &flags, sizeof *run.asked);
            }
            run.asked[run.course_count] = book->asked[i];
            run.courses[run.course_count++] = courses.items[k];
        }
    }
    meter_find_shifts(&run.meters, book->arena, book->cellar, run.courses, run.course_count);
    for (size_t i = 0; i < run.course_count; i++)
        if (run.asked[i] && (!run.courses[i].batch->ended || book->since < book->now))
            judge_course(&run, &run.courses[i]);
    keep_told(&run);
    anomaly_of_meters(&run);
    anomaly_of_round(&run);
    anomaly_of_line(&run);
    if (book->plants_asked) {
        anomaly_of_plant(&run);
        anomaly_of_trends(&run);
    }
    order_sort(run.findings.items, run.findings.n, sizeof *run.findings.items, compare);
    return run.findings;
}

static bool is_of(const struct anomaly_finding *finding, const char *const *tanks, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (str_is(finding->tank, tanks[i]))
            return true;
    return n == 0;
}

void anomaly_keep(struct anomaly_findings *findings, enum anomaly_level least,
                  const char *const *tanks, size_t tank_count)
{
    size_t kept = 0;
    for (size_t i = 0; i < findings->n; i++)
        if (findings->items[i].level >= least && is_of(&findings->items[i], tanks, tank_count))
            findings->items[kept++] = findings->items[i];
    findings->n = kept;
}

bool anomaly_is_alarm(const struct anomaly_finding *finding)
{
    return finding->level == ANOMALY_ALARM && finding->seen == NULL && !finding->ended;
}
