/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files that fill a sheet share: everything that its content points at. */
#ifndef CW_WORK_PAPERS_INTERNAL_H
#define CW_WORK_PAPERS_INTERNAL_H

#include "work/work_internal.h"

#include "coilwright/flux_figure.h"

enum {
    PAPER_LIMITS = 2, PAPER_ORDER = 7, PAPER_PROGRAM = 8, PAPER_GLANCE = 14, PAPER_LABEL = 9, PAPER_BLOCKS = 16,
    PAPER_LINES = 40, PAPER_CELLS = 240, PAPER_CAUTIONS = 40
};

typedef struct cw_papers {
    cw_work__notes notes;
    unsigned parts; /* that are wanted; 0 all */
    cw_reading_mark *marks;
    cw_sheet_candidate *candidates;
    size_t candidate_count;
    cw_sheet_limit limits[PAPER_LIMITS];
    const char *reasons[CW_REASONS_MOST];
    cw_sheet_line order[PAPER_ORDER], program[PAPER_PROGRAM], glance[PAPER_GLANCE], label[PAPER_LABEL];
    size_t order_count, program_count, glance_count, label_count;
    cw_sheet_check *checks; /* owned */
    size_t check_count;
    cw_sheet_block blocks[PAPER_BLOCKS];
    size_t block_count;
    cw_sheet_line lines[PAPER_LINES]; /* of all blocks */
    size_t line_count;
    const char *cells[PAPER_CELLS];   /* of all their tables */
    size_t cell_count;
    cw_sheet_caution cautions[PAPER_CAUTIONS]; /* the usual ones first */
    size_t caution_count;
    const cw_winding *winding;
    const cw_choice_option *option;
    const cw_identification *identification;
    cw_flux_figure flux;
    struct cw_papers_plots {
        cw_work__plot plot[2]; /* of the gap and of the plate, side by side */
        size_t count;
    } *plots; /* owned */
    cw_drafting *former, *arbor; /* owned */
    cw_heat_map_figure heat_map;
    cw_duty_figure duty;
    cw_switch_figure switching;
} cw_papers;

/* Whether a part is wanted, or any of the cover's figures hang on it. */
bool cw_papers__wants(const cw_papers *papers, cw_sheet_part part);

/* The shop's temperature: where the first resistance was read; 20 °C where none was noted. */
double cw_papers__shop_c(const cw_job *job);

/* Each adds what the job gives enough for; only memory and the machine make them fail. */
cw_status cw_papers__tests(cw_work *work, cw_papers *papers, cw_sheet_content *content, cw_error *error);
cw_status cw_papers__magnet(cw_work *work, cw_papers *papers, cw_error *error);
cw_status cw_papers__former(cw_work *work, cw_papers *papers, const char *date, cw_error *error);
cw_status cw_papers__heat(cw_work *work, cw_papers *papers, cw_error *error);
cw_status cw_papers__switching(cw_work *work, cw_papers *papers, cw_error *error);
void cw_papers__label(const cw_work *work, cw_papers *papers, cw_sheet_content *content);

/* Appends; a value of "" is left out, and so is what there is no room for. */
void cw_papers__glance(cw_papers *papers, const char *label, const char *value);
void cw_papers__line(cw_papers *papers, const char *label, const char *value);

/* A new block of a part; its lines and cells are those added from here on. */
cw_sheet_block *cw_papers__block(cw_papers *papers, cw_sheet_part part, const char *heading);
/* Ends the lines, or the table, of the last block. */
void cw_papers__end_lines(cw_papers *papers, size_t first);
void cw_papers__end_table(cw_papers *papers, const cw_column *columns, size_t column_count, size_t first);
void cw_papers__cell(cw_papers *papers, const char *text);

#endif
