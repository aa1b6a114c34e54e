/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The documents of the verb book, the same for command line and page. Keys are SI with the unit in the key; what is not
 * known is null, times are seconds since 1970 UTC. All give NULL without memory. */
#ifndef CW_BOOK_JSON_H
#define CW_BOOK_JSON_H

#include "coilwright/book.h"

#include <jansson.h>

/** {jobs[]{job, name, machine, coil, state, versions, changed_s, keys{}}, more} */
json_t *cw_book_hits_json(const cw_book_hits *hits);

/** One job with all that belongs to it: its latest inputs as `yaml`, versions[], results[] (without their documents),
 *  readings[], photos[], costs[], hours[], wire_used[], signatures[], spent, instead, hours_total. */
json_t *cw_book_job_json(const cw_book_job *job);

/** {spools[]} */
json_t *cw_book_spools_json(const cw_book_spools *spools);

/** {jobs, known, spools, photos} */
json_t *cw_book_imported_json(const cw_book_imported *imported);

/** {wire, build, shape, inner_m[], length_m, depth_m, resistance_20c_ohm, turns} */
json_t *cw_book_keys_json(const cw_book_keys *keys);

#endif
