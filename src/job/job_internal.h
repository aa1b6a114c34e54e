/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Shared by the files of this room: the tree of the file, the table of the schema, and the reader's state.
 *
 *     text ─ tree.c ─► nodes with places ─ read.c, by the rows of schema.c ─► cw_job ─ write.c, same rows ─► text
 *
 * A row names a key, its place in a record, and a *form*: how such a value is cleared, read, written and released. */
#ifndef CW_JOB_INTERNAL_H
#define CW_JOB_INTERNAL_H

#include "coilwright/job.h"

/* ---- tree ---------------------------------------------------------------------------------------------------- */

typedef enum cw_node_type { CW_NODE_SCALAR, CW_NODE_LIST, CW_NODE_MAP } cw_node_type;

/** A node of the file, with its key where it stands in a map. */
typedef struct cw_node {
    cw_node_type type;
    char *key;                   /* NULL outside maps */
    int key_line, key_column;
    size_t key_from;             /* first byte of the key */
    char *text;                  /* of a scalar */
    size_t length;
    bool empty;                  /* a scalar of which nothing is written, or null */
    bool as_written;             /* the text stands in the file on one line as it is, so that columns can be counted */
    bool set;                    /* it stands in no file, but was set from outside */
    int line, column;            /* of the value; of the key where the value is empty */
    size_t from, to;             /* bytes of the file that the value takes; alike where nothing is written. Of a list or
                                    group in lines, not in brackets, only `from` means anything */
    struct cw_node *first, *last, *next;
    size_t child_count;
} cw_node;

enum {
    CW_JOB_DEPTH_MOST = 8,       /* the schema needs four */
    CW_JOB_NODES_MOST = 20000,
    CW_JOB_LINES_MOST = 10000,   /* libfyaml takes time by the square of some repetitions */
    CW_JOB_LINE_LONGEST = 4000   /* characters */
};

/** Reads YAML into nodes. Adds to errors what makes that impossible. */
cw_status cw_job__tree(const char *text, size_t length, const char *file, cw_node **root, cw_errors *errors);
void cw_job__tree_destroy(cw_node **root);

/** Puts a value "section.key=value" into the tree, over what stands there. */
cw_status cw_job__set(cw_node *root, const char *words, cw_errors *errors);

/** The first value under a key, or NULL. */
const cw_node *cw_job__find(const cw_node *map, const char *key);

/* ---- schema -------------------------------------------------------------------------------------------------- */

typedef struct cw_reader {
    cw_job *job;
    const cw_wire_catalogue *catalogue;
    cw_errors *errors;
    size_t wrong;                /* errors found, even where the list is full or absent */
    size_t wrong_before;         /* `wrong` where the section began */
    int metric_lengths, inch_lengths;
    bool no_memory;
} cw_reader;

typedef struct cw_row cw_row;

/** How a kind of value is handled. `record` is the struct that the row's offset counts from. */
typedef struct cw_form {
    const char *what;            /* "a text", for what is expected; NULL: by the row */
    void (*clear)(const cw_row *row, void *record);
    void (*read)(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section, void *record);
    /* appends the value as YAML, or returns false where there is nothing to write */
    bool (*write)(const cw_row *row, const void *record, cw_unit_system units, cw_text *text);
    void (*release)(const cw_row *row, void *record);
} cw_form;

typedef enum cw_range { CW_ANY_VALUE, CW_POSITIVE, CW_NOT_NEGATIVE } cw_range;

/** What a template does with a row: leave it out, show it commented out, leave it empty to be filled in, or write its
 *  example as what most jobs want. */
typedef enum cw_ask { CW_SKIP, CW_MENTION, CW_ASK, CW_PRESET } cw_ask;

struct cw_row {
    const char *key;
    const cw_form *form;
    size_t offset;               /* of the value in its record */
    cw_kind kind;                /* quantities */
    size_t doubt;                /* offset of the doubt, CW_NOWHERE where none is kept */
    cw_range range;
    const char *const *words;    /* words: NULL-terminated, in the order of the enumeration */
    int fallback;                /* words, whole numbers: value where not given */
    int least, most;             /* whole numbers */
    bool required;
    cw_ask ask;
    const char *metric, *inch;   /* examples; inch NULL: the same */
    const char *about;           /* one line, for template and reference */
};

#define CW_NOWHERE ((size_t)-1)

typedef struct cw_section {
    const char *key;
    const cw_row *rows;
    int row_count;
    size_t record;               /* offset of its record in cw_job; of the pointer to the items where it is a list */
    size_t given;                /* offset of its flag, or CW_NOWHERE */
    size_t count, item_size;     /* lists: offset of the number of items; item_size 0: no list */
    size_t place;                /* lists: offset of the item's cw_place */
    bool open;                   /* any further key is an entry; read by cw_job__read_open */
    void (*check)(cw_reader *reader, const cw_node *section, void *record); /* may be NULL */
    const char *about;
} cw_section;

extern const cw_section cw_job__sections[];
extern const int cw_job__section_count;
extern const cw_row cw_job__top_rows[]; /* `coilwright`, `units` */
extern const int cw_job__top_row_count;

extern const cw_form cw_job__text_form, cw_job__line_form, cw_job__word_form, cw_job__flag_word_form,
    cw_job__flag_form, cw_job__whole_form, cw_job__quantity_form, cw_job__class_form, cw_job__version_form,
    cw_job__diameter_form, cw_job__pair_form, cw_job__duty_form, cw_job__wire_form, cw_job__build_form,
    cw_job__material_form, cw_job__left_form, cw_job__reading_value_form, cw_job__core_form, cw_job__lead_form,
    cw_job__wish_resistance_form, cw_job__wish_turns_form, cw_job__wish_lay_form, cw_job__builds_form,
    cw_job__materials_form,
    cw_job__word_set_form, cw_job__whole_set_form, cw_job__lengths_form, cw_job__gears_form, cw_job__taps_form,
    cw_job__any_quantity_form, cw_job__outline_form;

/** What a kind of reading reads, and which other keys tell something of it. Indexed by cw_reading_kind. */
typedef struct cw_reading_row {
    const char *name;
    cw_kind kind;
    cw_subject subject;          /* where `of` is not given */
    bool takes_at, takes_length, takes_current, takes_frequency, takes_core, takes_leads;
    const char *metric, *inch;
    const char *about;           /* how it is taken */
} cw_reading_row;

extern const cw_reading_row cw_job__reading_rows[CW_READING_KIND_COUNT];
extern const char *const cw_job__reading_words[];

void cw_job__check_window(cw_reader *reader, const cw_node *section, void *record);
void cw_job__check_reading(cw_reader *reader, const cw_node *section, void *record);
void cw_job__check_wanted(cw_reader *reader, const cw_node *section, void *record);
void cw_job__check_former(cw_reader *reader, const cw_node *section, void *record);
void cw_job__check_insulation(cw_reader *reader, const cw_node *section, void *record);
void cw_job__check_circuit(cw_reader *reader, const cw_node *section, void *record);
void cw_job__check_supply(cw_reader *reader, const cw_node *section, void *record);
void cw_job__check_machine(cw_reader *reader, const cw_node *section, void *record);
void cw_job__check_load(cw_reader *reader, const cw_node *section, void *record);
void cw_job__check_magnet(cw_reader *reader, const cw_node *section, void *record);
void cw_job__check_region(cw_reader *reader, const cw_node *section, void *record);

/** Entries of an open section; `prefix` is "" or "plate.". */
void cw_job__read_open(cw_reader *reader, const cw_node *section, const char *prefix, cw_job_entry **entries,
                       size_t *count);

/* ---- reader -------------------------------------------------------------------------------------------------- */

cw_place cw_job__place(const cw_reader *reader, const cw_node *node);

/** Adds an error that points at the node's value, or at its key. */
void cw_job__wrong(cw_reader *reader, const cw_node *node, const char *expected, const char *format, ...)
    CW_PRINTF(4, 5);
void cw_job__wrong_key(cw_reader *reader, const cw_node *node, const char *expected, const char *format, ...)
    CW_PRINTF(4, 5);
void cw_job__add_error(cw_reader *reader, const cw_error *error);

/** A quantity, with refusals at the very character where it can be told. */
bool cw_job__quantity(cw_reader *reader, const cw_node *node, cw_kind kind, cw_quantity *quantity, double *at_c);

/** "full wave", "Full_Wave" and "full-wave" are one word; `word` is the last of these. */
bool cw_job__same_word(const char *text, size_t length, const char *word);

/** Index of the word, or -1 with an error that names the nearest. */
int cw_job__word(cw_reader *reader, const cw_node *node, const char *const *words);

/** True for a scalar in which something is written; else an error. */
bool cw_job__written(cw_reader *reader, const cw_row *row, const cw_node *node);

void cw_job__record_clear(const cw_row *rows, int count, void *record);
void cw_job__record_release(const cw_row *rows, int count, void *record);
void cw_job__record_read(cw_reader *reader, const cw_row *rows, int count, const cw_node *section, const char *name,
                         void *record);

const cw_row *cw_job__find_row(const cw_row *rows, int count, const char *key);
const cw_section *cw_job__find_section(const char *key);

/** The word of `words` that is nearest and near enough, or NULL. */
const char *cw_job__nearest(const char *word, const char *const *words);

/* ---- writer -------------------------------------------------------------------------------------------------- */

/** Appends a quantity that reads back to the same doubles. */
void cw_job__write_quantity(cw_kind kind, double value, double doubt, cw_unit_system units, cw_text *text);
void cw_job__write_quoted(const char *words, cw_text *text);

#endif
