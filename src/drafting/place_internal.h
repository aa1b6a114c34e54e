/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files that find places for dimensions share. */
#ifndef CW_DRAFTING_PLACE_INTERNAL_H
#define CW_DRAFTING_PLACE_INTERNAL_H

#include "drafting/drafting_internal.h"

#define CANDIDATE_MARKS_MOST 20

/** Where the extension lines of a dimension that has no place yet will run, as far out as any row goes. */
typedef struct corridor {
    cw_drafting__mark lines[2];
    bool pending;
} corridor;

typedef struct placing {
    const cw_drafting_view *view;
    double factor;                      /* mm of paper per metre of the part */
    double sheet_scale;
    cw_unit_system units;
    cw_canvas *measure;
    cw_drafting__marks *marks;          /* what stands already */
    cw_drafting__bounds outline;        /* of the part */
    corridor *corridors;                /* [view->request_count] */
    char words[2 * CW_DRAFTING_WORDS_MOST]; /* of the dimension at hand */
} placing;

/** A dimension in one of its places. */
typedef struct candidate {
    cw_drafting__mark marks[CANDIDATE_MARKS_MOST];
    size_t count;
    double taste; /* what it costs by itself */
} candidate;

typedef struct choice {
    candidate candidate;
    double cost; /* INFINITY: none yet */
} choice;

/** One more mark, on the layer of dimensions; the others are made of it. */
cw_drafting__mark *cw_drafting__candidate_mark(candidate *c, cw_drafting__mark_kind kind, cw_drafting__role role);
void cw_drafting__candidate_line(candidate *c, cw_drafting__role role, double x1, double y1, double x2, double y2);
void cw_drafting__candidate_arc(candidate *c, double x, double y, double radius, double from, double to);
void cw_drafting__candidate_head(candidate *c, double x, double y, double dx, double dy);
void cw_drafting__candidate_text(candidate *c, double x, double y, double width, bool up, const char *words,
                                 size_t length);

/** Cost beside all that stands; INFINITY where something would touch. */
double cw_drafting__cost(const placing *p, const candidate *c);

/** Keeps the candidate where it is the best so far. */
void cw_drafting__try(const placing *p, const candidate *c, choice *best);

/** The corridor of a linear dimension beside the view. */
void cw_drafting__corridor(const placing *p, const cw_drafting__request *request, corridor *corridor);

void cw_drafting__place_linear(const placing *p, const cw_drafting__request *request, choice *best);
void cw_drafting__place_angle(const placing *p, const cw_drafting__request *request, choice *best);
void cw_drafting__place_leader(const placing *p, const cw_drafting__request *request, choice *best);

#endif
