/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Nested dissection by elements, and the factorisation along its tree. */
#include "field/solver.h"

#include <limits.h>
#include <math.h>
#include <string.h>

enum { LEAF = 12 }; /* triangles below which halving costs more than it saves; measured */

typedef struct branch {
    int first, last;   /* elements order[first..last-1] */
    int left, right;   /* children; -1 in a leaf */
    int size, pivots;  /* unknowns of the block; of these eliminated here, first in the list */
    size_t list, map;  /* start in lists; start of the places in the parent's block of what is handed up */
    size_t factor;     /* start in the factor: columns from the diagonal down */
} branch;

struct cw_solver {
    size_t element_count, unknown_count;
    branch *branches;  /* children before parents */
    size_t branch_count, branch_capacity;
    int *order;        /* shape [element_count] */
    int *lists, *maps; /* unknowns of the blocks; places in the parent */
    int (*local)[6];   /* shape [element_count], in order: places in the leaf's block */
    double *factor, *stack, *block;
    size_t list_count, list_capacity, map_count, map_capacity, factor_count, stack_count;
    int largest;
    double work;
};

/* Scratch of the analysis. */
typedef struct analysis {
    cw_solver *solver;
    const int (*unknown)[6];
    const int (*place)[2];
    int *spare;          /* shape [element_count] */
    int *home;           /* shape [unknown_count]: branch that eliminates it */
    int *seen;           /* shape [unknown_count] */
    int (*reach)[2];     /* shape [unknown_count]: first and last of its elements in the order */
    int *histogram;
    /* where there are only ranks */
    bool ranked;
    int *across;         /* shape [element_count]: the ranges of the order once more, each sorted along y, not x */
    int *latest;         /* shape [unknown_count]: position of its last element so far */
    int *crossing;       /* shape [element_count + 1] */
    bool *goes_left;     /* shape [element_count] */
} analysis;

void cw_solver__destroy(cw_solver **solver)
{
    if (*solver == NULL)
        return;
    cw_free((*solver)->branches);
    cw_free((*solver)->order);
    cw_free((*solver)->lists);
    cw_free((*solver)->maps);
    cw_free((*solver)->local);
    cw_free((*solver)->factor);
    cw_free((*solver)->stack);
    cw_free((*solver)->block);
    cw_free(*solver);
    *solver = NULL;
}

/* ---- halving -------------------------------------------------------------------------------------------------- */

/* Where to cut the range: the direction in which it is longer, at the grid line nearest to its middle by count.
 * Returns the number of elements that go left, 0 where the range is one cell. */
static int cut(const analysis *work, int first, int last)
{
    int *order = work->solver->order, low[2] = { INT_MAX, INT_MAX }, high[2] = { INT_MIN, INT_MIN };
    int direction, so_far = 0, best = 0, best_key = 0, left = 0, right;

    for (int i = first; i < last; i++)
        for (int d = 0; d < 2; d++) {
            int key = work->place[order[i]][d];

            low[d] = key < low[d] ? key : low[d];
            high[d] = key > high[d] ? key : high[d];
        }
    direction = high[0] - low[0] >= high[1] - low[1] ? 0 : 1;
    if (high[direction] == low[direction])
        return 0;
    memset(work->histogram, 0, (size_t)(high[direction] - low[direction] + 1) * sizeof(int));
    for (int i = first; i < last; i++)
        work->histogram[work->place[order[i]][direction] - low[direction]]++;
    for (int key = low[direction]; key < high[direction]; key++) {
        so_far += work->histogram[key - low[direction]];
        if (so_far > 0 && (best == 0 || 2 * so_far <= last - first ||
                           2 * so_far - (last - first) < (last - first) - 2 * best)) {
            best = so_far;
            best_key = key;
        }
    }
    right = best;
    for (int i = first; i < last; i++)
        work->spare[work->place[order[i]][direction] <= best_key ? left++ : right++] = order[i];
    memcpy(order + first, work->spare, (size_t)(last - first) * sizeof(int));
    return best;
}

/* Without a lattice a cut can go through the midst of a row of thin triangles. So every cut between a quarter and three
 * quarters along both directions is weighed: by the unknowns that it parts over the product of its halves. */
static double weigh(const analysis *work, int d, int first, int last, int *best)
{
    const int *sorted = d == 0 ? work->solver->order : work->across;
    int count = last - first, across = 0;
    double least = INFINITY;

    memset(work->crossing + first, 0, ((size_t)count + 1) * sizeof(int));
    for (int i = first; i < last; i++)
        for (int k = 0; k < 6; k++) {
            int u = work->unknown[sorted[i]][k];

            if (u < 0)
                continue;
            if (work->latest[u] >= 0) { /* parted by all cuts since it was met last */
                work->crossing[work->latest[u] + 1]++;
                work->crossing[i + 1]--;
            }
            work->latest[u] = i;
        }
    for (int i = first; i < last; i++)
        for (int k = 0; k < 6; k++)
            if (work->unknown[sorted[i]][k] >= 0)
                work->latest[work->unknown[sorted[i]][k]] = -1;
    for (int at = first + 1; at < last; at++) {
        int left = at - first, right = last - at;

        across += work->crossing[at];
        if (4 * left >= count && 4 * right >= count && across / ((double)left * right) < least) {
            least = across / ((double)left * right);
            *best = at;
        }
    }
    return least;
}

static int cut_ranked(const analysis *work, int first, int last)
{
    int at[2] = { first, first }, left = 0, right = 0, *sorted, *other;
    int d = weigh(work, 0, first, last, &at[0]) <= weigh(work, 1, first, last, &at[1]) ? 0 : 1, count = at[d] - first;

    sorted = d == 0 ? work->solver->order : work->across;
    other = d == 0 ? work->across : work->solver->order;
    for (int i = first; i < last; i++)
        work->goes_left[sorted[i]] = i < at[d];
    for (int i = first; i < last; i++) {
        int element = other[i];

        if (work->goes_left[element])
            other[first + left++] = element;
        else
            work->spare[right++] = element;
    }
    memcpy(other + first + left, work->spare, (size_t)right * sizeof(int));
    return count;
}

static cw_status halve(analysis *work, int first, int last, int *made, cw_error *error)
{
    cw_solver *solver = work->solver;
    int left = -1, right = -1;
    int count = last - first <= LEAF ? 0 : work->ranked ? cut_ranked(work, first, last) : cut(work, first, last);

    if (count > 0) {
        cw_status status = halve(work, first, first + count, &left, error);

        if (status == CW_OK)
            status = halve(work, first + count, last, &right, error);
        if (status != CW_OK)
            return status;
    }
    if (solver->branch_count == solver->branch_capacity) {
        size_t wanted = solver->branch_capacity == 0 ? 64 : 2 * solver->branch_capacity;
        branch *grown = cw_reallocate(solver->branches, wanted, sizeof *grown);

        if (grown == NULL)
            return cw_no_memory(error);
        solver->branches = grown;
        solver->branch_capacity = wanted;
    }
    *made = (int)solver->branch_count;
    memset(&solver->branches[*made], 0, sizeof(branch));
    solver->branches[*made].first = first;
    solver->branches[*made].last = last;
    solver->branches[*made].left = left;
    solver->branches[*made].right = right;
    solver->branch_count++;
    return CW_OK;
}

/* The lowest branch that holds all elements of each unknown. */
static void find_homes(analysis *work)
{
    const cw_solver *solver = work->solver;

    for (size_t u = 0; u < solver->unknown_count; u++) {
        work->reach[u][0] = INT_MAX;
        work->reach[u][1] = -1;
    }
    for (int i = 0; i < (int)solver->element_count; i++)
        for (int k = 0; k < 6; k++) {
            int u = work->unknown[solver->order[i]][k];

            if (u < 0)
                continue;
            if (work->reach[u][0] == INT_MAX)
                work->reach[u][0] = i;
            work->reach[u][1] = i;
        }
    for (size_t u = 0; u < solver->unknown_count; u++) {
        int b = (int)solver->branch_count - 1;

        while (solver->branches[b].left >= 0) {
            int middle = solver->branches[solver->branches[b].right].first;

            if (work->reach[u][1] < middle)
                b = solver->branches[b].left;
            else if (work->reach[u][0] >= middle)
                b = solver->branches[b].right;
            else
                break;
        }
        work->home[u] = b;
    }
}

/* ---- blocks --------------------------------------------------------------------------------------------------- */

static cw_status reserve(int **array, size_t *capacity, size_t wanted, cw_error *error)
{
    size_t more = *capacity == 0 ? 1024 : *capacity;
    int *grown;

    if (wanted <= *capacity)
        return CW_OK;
    while (more < wanted)
        more *= 2;
    grown = cw_reallocate(*array, more, sizeof(int));
    if (grown == NULL)
        return cw_no_memory(error);
    *array = grown;
    *capacity = more;
    return CW_OK;
}

/* Order of elimination: by the branch, then by number. Lists keep it, so that a child's runs up in its parent's. */
static bool earlier(const int *home, int u, int v)
{
    return home[u] != home[v] ? home[u] < home[v] : u < v;
}

static int leaf_list(analysis *work, int b, int *list)
{
    const cw_solver *solver = work->solver;
    int count = 0;

    for (int i = solver->branches[b].first; i < solver->branches[b].last; i++)
        for (int k = 0; k < 6; k++) {
            int u = work->unknown[solver->order[i]][k], at;

            if (u < 0 || work->seen[u] == b + 1)
                continue;
            work->seen[u] = b + 1;
            for (at = count++; at > 0 && earlier(work->home, u, list[at - 1]); at--)
                list[at] = list[at - 1];
            list[at] = u;
        }
    return count;
}

static int merged_list(const analysis *work, const branch *left, const branch *right, const int *lists, int *list)
{
    int i = left->pivots, j = right->pivots, count = 0;

    while (i < left->size || j < right->size) {
        int u = i < left->size ? lists[left->list + (size_t)i] : -1;
        int v = j < right->size ? lists[right->list + (size_t)j] : -1;

        if (u == v) {
            list[count++] = u;
            i++;
            j++;
        } else if (v < 0 || (u >= 0 && earlier(work->home, u, v))) {
            list[count++] = u;
            i++;
        } else {
            list[count++] = v;
            j++;
        }
    }
    return count;
}

static cw_status map_child(cw_solver *solver, branch *child, const branch *parent, cw_error *error)
{
    size_t count = (size_t)(child->size - child->pivots);
    int at = 0;

    if (reserve(&solver->maps, &solver->map_capacity, solver->map_count + count, error) != CW_OK)
        return CW_NO_MEMORY;
    child->map = solver->map_count;
    for (int i = child->pivots; i < child->size; i++) {
        while (solver->lists[parent->list + (size_t)at] != solver->lists[child->list + (size_t)i])
            at++;
        solver->maps[solver->map_count++] = at;
    }
    return CW_OK;
}

static void leaf_places(const analysis *work, const branch *leaf)
{
    const cw_solver *solver = work->solver;

    for (int i = 0; i < leaf->size; i++)
        work->seen[solver->lists[leaf->list + (size_t)i]] = i;
    for (int i = leaf->first; i < leaf->last; i++)
        for (int k = 0; k < 6; k++) {
            int u = work->unknown[solver->order[i]][k];

            solver->local[i][k] = u < 0 ? -1 : work->seen[u];
        }
}

static cw_status make_block(analysis *work, int b, cw_error *error)
{
    cw_solver *solver = work->solver;
    branch *here = &solver->branches[b];
    bool leaf = here->left < 0;
    size_t most = leaf ? 6 * (size_t)(here->last - here->first)
                       : (size_t)(solver->branches[here->left].size + solver->branches[here->right].size);

    if (reserve(&solver->lists, &solver->list_capacity, solver->list_count + most, error) != CW_OK)
        return CW_NO_MEMORY;
    here->list = solver->list_count;
    here->size = leaf ? leaf_list(work, b, solver->lists + here->list)
                      : merged_list(work, &solver->branches[here->left], &solver->branches[here->right],
                                    solver->lists, solver->lists + here->list);
    solver->list_count += (size_t)here->size;
    while (here->pivots < here->size && work->home[solver->lists[here->list + (size_t)here->pivots]] == b)
        here->pivots++;
    here->factor = solver->factor_count;
    for (int k = 0; k < here->pivots; k++) {
        solver->factor_count += (size_t)(here->size - k);
        solver->work += 0.5 * (here->size - k) * (double)(here->size - k);
    }
    if (here->size > solver->largest)
        solver->largest = here->size;
    if (leaf)
        return CW_OK;
    if (map_child(solver, &solver->branches[here->left], here, error) != CW_OK)
        return CW_NO_MEMORY;
    return map_child(solver, &solver->branches[here->right], here, error);
}

static size_t handed_up(const branch *b)
{
    size_t rest = (size_t)(b->size - b->pivots);

    return rest * (rest + 1) / 2;
}

static cw_status allocate_numbers(cw_solver *solver, cw_error *error)
{
    size_t depth = 0, rows = ((size_t)solver->largest + 7) & ~(size_t)7;

    for (size_t b = 0; b < solver->branch_count; b++) {
        const branch *here = &solver->branches[b];

        if (here->left >= 0)
            depth -= handed_up(&solver->branches[here->left]) + handed_up(&solver->branches[here->right]);
        depth += handed_up(here);
        if (depth > solver->stack_count)
            solver->stack_count = depth;
    }
    solver->factor = cw_allocate(solver->factor_count, sizeof(double));
    solver->stack = cw_allocate(solver->stack_count, sizeof(double));
    solver->block = cw_allocate((rows + 4) * rows + 16, sizeof(double));
    if (solver->factor == NULL || solver->stack == NULL || solver->block == NULL)
        return cw_no_memory(error);
    return CW_OK;
}

static cw_status analyse(analysis *work, cw_error *error)
{
    cw_solver *solver = work->solver;
    int root;
    cw_status status;

    for (size_t i = 0; i < solver->element_count; i++)
        if (work->ranked) {
            solver->order[work->place[i][0]] = (int)i;
            work->across[work->place[i][1]] = (int)i;
        } else {
            solver->order[i] = (int)i;
        }
    for (size_t u = 0; u < solver->unknown_count && work->ranked; u++)
        work->latest[u] = -1;
    status = halve(work, 0, (int)solver->element_count, &root, error);
    if (status != CW_OK)
        return status;
    find_homes(work);
    for (int b = 0; b < (int)solver->branch_count && status == CW_OK; b++)
        status = make_block(work, b, error);
    for (int b = 0; b < (int)solver->branch_count && status == CW_OK; b++)
        if (solver->branches[b].left < 0)
            leaf_places(work, &solver->branches[b]);
    return status == CW_OK ? allocate_numbers(solver, error) : status;
}

static int span(const int (*place)[2], size_t count)
{
    int most = 0;

    for (size_t i = 0; i < count; i++)
        for (int d = 0; d < 2; d++)
            most = place[i][d] > most ? place[i][d] : most;
    return most + 1;
}

static bool create_scratch(analysis *work)
{
    size_t elements = work->solver->element_count, unknowns = work->solver->unknown_count;

    work->spare = cw_allocate(elements, sizeof(int));
    work->home = cw_allocate(unknowns, sizeof(int));
    work->seen = cw_allocate(unknowns, sizeof(int));
    work->reach = cw_allocate(unknowns, sizeof *work->reach);
    if (work->ranked) {
        work->across = cw_allocate(elements, sizeof(int));
        work->latest = cw_allocate(unknowns, sizeof(int));
        work->crossing = cw_allocate(elements + 1, sizeof(int));
        work->goes_left = cw_allocate(elements, sizeof(bool));
    } else {
        work->histogram = cw_allocate((size_t)span(work->place, elements), sizeof(int));
    }
    return work->spare != NULL && work->home != NULL && work->seen != NULL && work->reach != NULL &&
           (work->ranked ? work->across != NULL && work->latest != NULL && work->crossing != NULL &&
                           work->goes_left != NULL
                         : work->histogram != NULL);
}

static void clear_scratch(analysis *work)
{
    cw_free(work->spare);
    cw_free(work->home);
    cw_free(work->seen);
    cw_free(work->reach);
    cw_free(work->histogram);
    cw_free(work->across);
    cw_free(work->latest);
    cw_free(work->crossing);
    cw_free(work->goes_left);
}

cw_status cw_solver__create(const int (*unknown)[6], const int (*place)[2], bool ranked, size_t element_count,
                            size_t unknown_count, cw_solver **solver, cw_error *error)
{
    cw_solver *made = cw_allocate(1, sizeof *made);
    analysis work = { .solver = made, .unknown = unknown, .place = place, .ranked = ranked };
    cw_status status;

    *solver = NULL;
    if (made == NULL)
        return cw_no_memory(error);
    made->element_count = element_count;
    made->unknown_count = unknown_count;
    made->order = cw_allocate(element_count, sizeof(int));
    made->local = cw_allocate(element_count, sizeof *made->local);
    if (made->order != NULL && made->local != NULL && create_scratch(&work))
        status = analyse(&work, error);
    else
        status = cw_no_memory(error);
    clear_scratch(&work);
    if (status != CW_OK)
        cw_solver__destroy(&made);
    *solver = made;
    return status;
}

/* ---- numbers -------------------------------------------------------------------------------------------------- */

static void add_elements(const cw_solver *solver, const branch *leaf, const double (*matrix)[21], size_t rows)
{
    for (int e = leaf->first; e < leaf->last; e++) {
        const int *local = solver->local[e];
        const double *entry = matrix[solver->order[e]];

        for (int i = 0; i < 6; i++)
            for (int j = 0; j <= i; j++, entry++) {
                int high = local[i] > local[j] ? local[i] : local[j], low = local[i] > local[j] ? local[j] : local[i];

                if (low >= 0)
                    solver->block[(size_t)low * rows + (size_t)high] += *entry;
            }
    }
}

/* Adds what a child has handed up, whose columns stand on the stack one after the other. */
static void add_child(const cw_solver *solver, const branch *child, const double *columns, size_t rows)
{
    const int *map = solver->maps + child->map;
    int count = child->size - child->pivots;

    for (int j = 0; j < count; j++) {
        double *column = solver->block + (size_t)map[j] * rows;

        for (int i = j; i < count; i++)
            column[map[i]] += columns[i - j];
        columns += count - j;
    }
}

static void keep(const cw_solver *solver, const branch *here, double *top, size_t rows)
{
    double *factor = solver->factor + here->factor;

    for (int j = 0; j < here->size; j++) {
        size_t count = (size_t)(here->size - j);
        double **to = j < here->pivots ? &factor : &top;

        memcpy(*to, solver->block + (size_t)j * rows + (size_t)j, count * sizeof(double));
        *to += count;
    }
}

cw_status cw_solver__factor(cw_solver *solver, const double (*matrix)[21], cw_error *error)
{
    double *top = solver->stack;

    for (size_t b = 0; b < solver->branch_count; b++) {
        const branch *here = &solver->branches[b];
        size_t rows = ((size_t)here->size + 7) & ~(size_t)7;

        memset(solver->block, 0, (rows + 4) * rows * sizeof(double));
        if (here->left < 0) {
            add_elements(solver, here, matrix, rows);
        } else {
            const branch *left = &solver->branches[here->left], *right = &solver->branches[here->right];

            top -= handed_up(right);
            add_child(solver, right, top, rows);
            top -= handed_up(left);
            add_child(solver, left, top, rows);
        }
        if (!cw_dense__eliminate(solver->block, (int)rows, here->size, here->pivots))
            return cw_fail(error, "The system of equations is not positive definite.");
        keep(solver, here, top, rows);
        top += handed_up(here);
    }
    return CW_OK;
}

typedef double quad __attribute__((vector_size(32), aligned(8), may_alias));

/* y -= factor x */
static void subtract(double *y, const double *x, double factor, int count)
{
    int i = 0;

    for (; i + 4 <= count; i += 4)
        *(quad *)(y + i) -= *(const quad *)(x + i) * factor;
    for (; i < count; i++)
        y[i] -= x[i] * factor;
}

static double dot(const double *x, const double *y, int count)
{
    quad sums = { 0, 0, 0, 0 };
    double sum = 0;
    int i = 0;

    for (; i + 4 <= count; i += 4)
        sums += *(const quad *)(x + i) * *(const quad *)(y + i);
    for (; i < count; i++)
        sum += x[i] * y[i];
    return sum + (sums[0] + sums[1]) + (sums[2] + sums[3]);
}

/* Both passes work on a copy of the block's unknowns, so that the columns run through memory in one go. */
static void forward(const cw_solver *solver, const branch *here, double *x)
{
    const int *list = solver->lists + here->list;
    const double *column = solver->factor + here->factor;
    double *local = solver->block;

    for (int i = 0; i < here->size; i++)
        local[i] = x[list[i]];
    for (int k = 0; k < here->pivots; k++) {
        local[k] /= column[0];
        subtract(local + k + 1, column + 1, local[k], here->size - k - 1);
        column += here->size - k;
    }
    for (int i = 0; i < here->size; i++)
        x[list[i]] = local[i];
}

static void backward(const cw_solver *solver, const branch *here, double *x)
{
    const int *list = solver->lists + here->list;
    const double *column = solver->factor + here->factor;
    double *local = solver->block;

    for (int i = 0; i < here->size; i++)
        local[i] = x[list[i]];
    for (int k = 0; k < here->pivots; k++)
        column += here->size - k;
    for (int k = here->pivots; k-- > 0; ) {
        column -= here->size - k;
        local[k] = (local[k] - dot(column + 1, local + k + 1, here->size - k - 1)) / column[0];
        x[list[k]] = local[k];
    }
}

void cw_solver__solve(cw_solver *solver, double *x)
{
    for (size_t b = 0; b < solver->branch_count; b++)
        forward(solver, &solver->branches[b], x);
    for (size_t b = solver->branch_count; b-- > 0; )
        backward(solver, &solver->branches[b], x);
}

void cw_solver__counts(const cw_solver *solver, cw_solver_counts *counts)
{
    double rows = (solver->largest + 7) & ~7;

    counts->factor_entries = (double)solver->factor_count;
    counts->multiplications = solver->work;
    counts->bytes = 8 * ((double)solver->factor_count + (double)solver->stack_count + rows * (rows + 4)) +
                    4 * ((double)solver->list_capacity + (double)solver->map_capacity) +
                    28 * (double)solver->element_count;
}
