/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A magnet of free shape: the job's regions as the field's parts, its coils with the turns that are laid. */
#include "work/work_internal.h"

#include "coilwright/iron.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static cw_status check_material(const cw_job_region *region, cw_error *error)
{
    cw_iron *iron = NULL;
    cw_status status;

    if (strcmp(region->material, "coil") == 0 || strcmp(region->material, "air") == 0)
        return CW_OK;
    status = cw_iron_find(region->material, &iron, error);
    cw_iron_destroy(&iron);
    if (status != CW_OK && error != NULL)
        cw_refuse(error, &region->at, "an iron's name, coil or air",
                  "The region '%s' is of '%s', which is no iron that is known.", region->name, region->material);
    return status;
}

static cw_status take_region(const cw_job_region *region, double turns, cw_part *part, cw_error *error)
{
    cw_status status = check_material(region, error);

    memset(part, 0, sizeof *part);
    if (status != CW_OK)
        return status;
    snprintf(part->name, sizeof part->name, "%s", region->name);
    part->contour = region->outline;
    part->contour_count = region->outline_count;
    part->moves = region->moves;
    part->coil = -1;
    if (strcmp(region->material, "coil") == 0) {
        part->coil = region->coil - 1;
        part->turns = (region->out ? -1 : 1) * (isnan(region->turns) ? turns : region->turns);
    } else if (strcmp(region->material, "air") == 0) {
        part->air = true;
    } else {
        snprintf(part->iron, sizeof part->iron, "%s", region->material);
    }
    return CW_OK;
}

static const char *word_of(const cw_job *job, const char *name)
{
    const cw_job_entry *entry = cw_job_magnet_entry(job, name);

    return entry != NULL && entry->word != NULL ? entry->word : "";
}

/* What is asked of the whole: something that moves, a coil; a coil's number without those before it is none. */
static cw_status check_whole(const cw_section *section, const cw_place *at, cw_error *error)
{
    bool moves = false;

    for (size_t i = 0; i < section->part_count; i++)
        moves = moves || section->part[i].moves;
    if (!moves)
        return cw_refuse(error, at, "moves: yes at a region of iron", "No region of the section moves, so there is no "
                         "pull to compute.");
    if (section->coil_count == 0)
        return cw_refuse(error, at, "material: coil at a region", "No region of the section is a coil.");
    return CW_OK;
}

cw_status cw_work__section(const cw_job *job, double turns, const cw_place *at, cw_section *section, cw_error *error)
{
    const cw_job_entry *depth = cw_job_magnet_entry(job, "depth");
    cw_status status = CW_OK;

    memset(section, 0, sizeof *section);
    if (job->section_count == 0)
        return cw_refuse(error, at, "section: with a list of regions", "The magnet is of the shape section, and the job "
                         "has no section: that draws it.");
    if (job->section_count > CW_MOST_PARTS)
        return cw_refuse(error, &job->section[0].at, "32 regions or fewer", "The section has %zu regions.",
                         job->section_count);
    for (size_t i = 0; i < job->section_count && status == CW_OK; i++) {
        status = take_region(&job->section[i], turns, &section->part[section->part_count++], error);
        if (section->part[i].coil >= section->coil_count)
            section->coil_count = section->part[i].coil + 1;
    }
    section->planar = depth != NULL;
    section->depth_m = depth != NULL ? depth->value : 0;
    section->mirrored = section->planar && strcmp(word_of(job, "mirrored"), "yes") == 0;
    return status == CW_OK ? check_whole(section, at, error) : status;
}
