#include "crew.h"

#include <pthread.h>
#include <unistd.h>

/* So many shares for each thread that none is done long before the others, each of a moderate
 * number of files. */
enum { SHARES_EACH = 16, LARGEST_SHARE = 64 };

struct crew {
    const struct crew_job *job;
    const char *const *paths;
    size_t n, share; /* files, of all and of each share */
    void **outcomes; /* one for each share */
    pthread_mutex_t lock;
    size_t next; /* the share that nobody works on yet; under the lock */
};

struct member {
    struct crew *crew;
    struct arena arena, scratch;
    pthread_t thread;
};

static void work_on(struct member *member, size_t first, size_t end, void **outcome)
{
    const struct crew *crew = member->crew;
    *outcome = crew->job->begin(crew->job->context, &member->arena);
    for (size_t i = first; i < end; i++) {
        crew->job->add(crew->job->context, *outcome, &member->scratch, crew->paths[i]);
        arena_reset(&member->scratch);
    }
}

/* The number of a share that is now this thread's. */
static size_t next_share(struct crew *crew)
{
    pthread_mutex_lock(&crew->lock);
    size_t share = crew->next++;
    pthread_mutex_unlock(&crew->lock);
    return share;
}

static void *work(void *context)
{
    struct member *member = context;
    struct crew *crew = member->crew;
    for (;;) {
        size_t share = next_share(crew), first = share * crew->share;
        if (first >= crew->n)
            return NULL;
        size_t end = crew->n - first < crew->share ? crew->n : first + crew->share;
        work_on(member, first, end, &crew->outcomes[share]);
    }
}

static void join_crew(struct crew *crew, struct member *members, size_t n, struct arena *arena)
{
    size_t started = 1; /* this thread is the first */
    for (size_t i = 0; i < n; i++) {
        members[i].crew = crew;
        arena_init(&members[i].arena, arena->exhausted, arena->context);
        arena_init(&members[i].scratch, arena->exhausted, arena->context);
    }
    while (started < n &&
           pthread_create(&members[started].thread, NULL, work, &members[started]) == 0)
        started++;
    work(&members[0]);
    for (size_t i = 1; i < started; i++)
        pthread_join(members[i].thread, NULL);
    for (size_t i = 0; i < n; i++) {
        arena_adopt(arena, &members[i].arena);
        arena_free(&members[i].scratch);
    }
}

static size_t bounded(size_t value, size_t least, size_t most)
{
    return value < least ? least : value > most ? most : value;
}

size_t crew_processors(void)
{
    long n = sysconf(_SC_NPROCESSORS_ONLN);
    return n < 1 ? 1 : (size_t)n;
}

void crew_work(const struct crew_job *job, struct arena *arena, const char *const *paths, size_t n,
               size_t threads)
{
    threads = bounded(threads, 1, CREW_MOST_THREADS);
    if (n == 0)
        return;
    size_t share = threads == 1 ? n : bounded(n / (threads * SHARES_EACH), 1, LARGEST_SHARE);
    size_t shares = (n - 1) / share + 1;
    struct crew crew = {.job = job,
                        .paths = paths,
                        .n = n,
                        .share = share,
                        .outcomes = arena_array(arena, shares, sizeof *crew.outcomes),
                        .lock = PTHREAD_MUTEX_INITIALIZER};
    size_t members = bounded(threads, 1, shares);
    join_crew(&crew, arena_array(arena, members, sizeof(struct member)), members, arena);
    pthread_mutex_destroy(&crew.lock);
    for (size_t i = 0; i < shares; i++)
        job->take(job->context, crew.outcomes[i]);
}
