/*
 * An entry that is to be added to the book: a reading, an event, a stay in a tank, a check of the
 * plant, a calibration, a cleaning. It is a list of keys and texts, as it will stand in the file;
 * what the texts mean is found by reading the written line with the tables that read the book, so
 * that nothing is added that the book's readers would understand otherwise.
 */
#ifndef GYLE_ENTRY_H
#define GYLE_ENTRY_H

#include "batch.h"
#include "plant.h"

enum entry_kind {
    ENTRY_READING,
    ENTRY_EVENT,
    ENTRY_STAY,
    ENTRY_FORCED, /* where a forced sample ended */
    ENTRY_CHECK,
    ENTRY_CALIBRATION,
    ENTRY_CLEANED,
    ENTRY_NOTHING, /* a line that could not be understood */
    ENTRY_KINDS
};

/* Where entries of a kind are kept. */
struct entry_form {
    const char *list; /* the key of the list, "readings" */
    bool plant;       /* in the plant log, else in a batch */
    const char *what; /* "reading", for messages */
};
extern const struct entry_form ENTRY_FORMS[ENTRY_KINDS];

/* The table of the keys of a kind. */
const struct key_table *entry_table(enum entry_kind kind);

struct entry_pair {
    const char *key;
    struct str value;
    bool yaml; /* written as it is; else quoted where needed */
};

enum { ENTRY_MOST_PAIRS = 32 };

enum entry_state {
    ENTRY_WAITING, /* understood, not yet judged */
    ENTRY_TAKEN,   /* to be added */
    ENTRY_ADDED,
    ENTRY_THERE,   /* in the book already */
    ENTRY_REFUSED, /* reason tells why */
    ENTRY_FAILED,  /* the file could not be written: reason */
    ENTRY_LEFT     /* declined when asked */
};

/* A remark on an entry that is added all the same. */
struct entry_remark {
    struct entry_remark *next;
    const char *text;
    bool unlikely; /* the figure is not expected here and now */
};

struct entry {
    enum entry_kind kind;
    enum entry_state state;
    const char *reason;
    bool condemned; /* refused for what its file would become: not judged again */
    struct entry_remark *remarks;

    const struct source *source; /* where it was read */
    size_t line;
    struct str text;    /* the line or row as it stood there */
    struct str context; /* lines that must stand before it for it to be read again, or "" */

    int64_t at;        /* seconds since the epoch; when timed */
    bool timed;        /* at holds */
    bool assumed_time; /* no time was given: it is now */
    bool bare_unit;    /* a check whose figure had no unit: the house unit was taken */
    struct str tank;   /* as in cellar.yaml; "" when none is meant */
    struct str batch;  /* number as in its file; "" when the tank tells it */
    struct entry_pair pairs[ENTRY_MOST_PAIRS];
    size_t n;
    struct entry *beside; /* a second entry that must be added with this one (move: the stay) */

    const char *path;       /* the file it goes to; "" until that is known */
    struct str beer;        /* of the batch, "" when not known */
    const char *already;    /* what of it was there already; NULL: nothing */
    struct str written;     /* as it stands in the file */
    struct entry *parts[3]; /* what is really written, NULL-ended: less, or a correction */
};

/* A new entry at a line of a source. */
struct entry *entry_new(struct arena *arena, enum entry_kind kind, const struct source *source,
                        size_t line, struct str text);

/* Adds a key; one that is there is replaced. The value must live as long as the entry. More than
 * ENTRY_MOST_PAIRS are left out, which no table allows. */
void entry_set(struct entry *entry, const char *key, struct str value);
void entry_set_yaml(struct entry *entry, const char *key, struct str value);

/* The value of a key, or an empty slice with p == NULL. */
struct str entry_get(const struct entry *entry, const char *key);
void entry_remove(struct entry *entry, const char *key);

/* Refuses it, with the first reason given. */
void entry_refuse(struct entry *entry, struct arena *arena, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
void entry_remark(struct entry *entry, struct arena *arena, bool unlikely, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/* The text of a figure as a file holds it: number as written, unit; a word before it. */
struct str entry_figure_text(struct arena *arena, const struct figure *figure);

/* The order of keys in the entries of a list: that of the fullest of its last entries, the other
 * keys of the table where the table has them. list may be NULL. Fills order with table->count
 * names. */
void entry_order(const struct key_table *table, const struct doc_node *list, const char **order);

/* Writes `{at: ..., key: value, ...}`, keys in that order, without a line end. */
void entry_write(struct buf *out, const struct entry *entry, const struct civil_zone *zone,
                 const char *const *order, size_t order_count);

/* A text as a value inside of {}: plain where that is safe, else in double quotes. */
void entry_write_text(struct buf *out, struct str text, bool quoted);

/* Reads what entry_write() wrote into object, a struct of the kind's table. False, with the reason
 * in the entry, when the book's readers would find an error in it; warnings become remarks.
 * *map is the mapping. */
bool entry_read(struct entry *entry, const struct cellar *cellar, struct arena *arena, void *object,
                const struct doc_node **map);

/* The tank, the check or the meter that it is about; the batch where no tank is known. */
struct str entry_name(const struct entry *entry);

/* What it says, for people: pieces to be written with blanks between them ("FV3 0417",
 * "25 Nov 08:10", "3.4 P", "pH 4.42", ...), in the table's order, notes last. At most
 * ENTRY_MOST_PAIRS + 3 of them; the number is returned. */
size_t entry_pieces(struct arena *arena, const struct entry *entry, const struct civil_zone *zone,
                    struct str *pieces);

#endif
