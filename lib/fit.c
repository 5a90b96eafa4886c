#include "fit.h"

#include "pair.h"

#include <float.h>
#include <math.h>

/* Where double precision stops the descent, this offset still counts as converged. */
static const double OFFSET_ENOUGH = 1e-3;

/* A pivot of the normal matrix below this part of its diagonal (1 - R^2 of a parameter's derivative
 * on the others') means that the readings cannot tell the parameters apart. */
static const double PIVOT_LEAST = 1e-13;

/* A step that starts farther away than this tells nothing of those to come. */
static const double OFFSET_LOCAL = 0.5;

/* A step that leaves more of the offset than this is slow: the model then learns from it. */
static const double SLOW = 0.1;

/* The next step is trusted to leave at most so many times the part of the offset that the last one
 * left; the least and the most that this comes to; and where the model has learned. */
static const double CAUTION = 10, LEAST_PART = 0.1, MOST_PART = 0.5, LEARNED_PART = 0.8;

static const double HUBER_BEND = 1.345;

/* A symmetric matrix of the free parameters alone as L D L': `lower` has ones on its diagonal,
 * `inverse_pivot` is 1 / D. */
struct factor {
    size_t size;
    size_t index[FIT_PARAMETERS]; /* which parameter each row is */
    double inverse_pivot[FIT_PARAMETERS];
    double lower[FIT_PARAMETERS][FIT_PARAMETERS];
};

/* The normal equations at one theta: matrix step = right. Both triangles are filled. */
struct equations {
    double theta[FIT_PARAMETERS];
    double matrix[FIT_PARAMETERS][FIT_PARAMETERS];
    double right[FIT_PARAMETERS];
    double cost; /* what is made least: the loss of the readings and of the prior */
    double loss; /* of the readings alone */
    bool free[FIT_PARAMETERS];
    size_t free_count;
    double offset;
    struct factor factor; /* of the matrix, undamped; set where offset is finite */
};

/* Loss of a residual in noise sds, doubled, so that FIT_SQUARES gives its square; and its
 * influence: `factor` residual is the derivative, `bend` the second one. */
struct loss {
    double value, factor, bend;
};

static struct loss loss_of(enum fit_loss kind, double u)
{
    double size = fabs(u);
    if (kind == FIT_HUBER && size > HUBER_BEND)
        return (struct loss){HUBER_BEND * (2 * size - HUBER_BEND), HUBER_BEND / size, 0};
    return (struct loss){u * u, 1, 1};
}

static double weight_of(const struct fit_problem *problem, size_t point)
{
    return problem->weight ? problem->weight[point] : 1;
}

/* How strongly the prior holds a parameter, in the units of the normal matrix. */
static double ridge_of(const struct fit_problem *problem, size_t j)
{
    if (!problem->prior_sd || isinf(problem->prior_sd[j]))
        return 0;
    double ratio = problem->noise_sd / problem->prior_sd[j];
    return ratio * ratio;
}

static bool is_held(const struct fit_problem *problem, size_t j)
{
    return problem->prior_sd && problem->prior_sd[j] == 0;
}

static bool has_prior(const struct fit_problem *problem)
{
    for (size_t j = 0; problem->prior_sd && j < problem->parameters; j++) {
        if (!isinf(problem->prior_sd[j]) && !is_held(problem, j))
            return true;
    }
    return false;
}

/* A block of readings: what is left of each, its weight, and the derivatives. */
struct block {
    size_t count;
    double residual[FIT_BLOCK], weight[FIT_BLOCK]; /* as fill_up() leaves them */
    double gradient[FIT_PARAMETERS][FIT_BLOCK];
    double weighted[FIT_PARAMETERS][FIT_BLOCK];
};

/* Zeros up to a whole number of fours, which add nothing to a sum. */
static void fill_up(double column[FIT_BLOCK], size_t count)
{
    for (size_t i = count; i % 4 != 0; i++)
        column[i] = 0;
}

static void residuals(const struct fit_problem *problem, const double *theta, size_t first,
                      struct block *block)
{
    double value[FIT_BLOCK];
    size_t left = problem->points - first;
    block->count = left < FIT_BLOCK ? left : FIT_BLOCK;
    problem->model(theta, first, block->count, value, block->gradient, problem->data);
    const double *y = problem->y + first;
    size_t i = 0;
    for (; i + 1 < block->count; i += 2)
        pair_store(block->residual + i, pair_load(y + i) - pair_load(value + i));
    if (i < block->count)
        block->residual[i] = y[i] - value[i];
    fill_up(block->residual, block->count);
}

/* The sums of products of one column with each of several, added to `sums`. The one is filled up by
 * zeros, the others by what is finite. Two go together, since each load serves both. */
static void add_products(const double *one, double (*others)[FIT_BLOCK], size_t n, size_t count,
                         double *sums)
{
    size_t k = 0;
    for (; k + 1 < n; k += 2) {
        pair a = {0, 0}, b = {0, 0}, c = {0, 0}, d = {0, 0};
        for (size_t i = 0; i < count; i += 4) {
            pair first = pair_load(one + i), second = pair_load(one + i + 2);
            a += first * pair_load(others[k] + i);
            b += first * pair_load(others[k + 1] + i);
            c += second * pair_load(others[k] + i + 2);
            d += second * pair_load(others[k + 1] + i + 2);
        }
        sums[k] += pair_sum(a + c);
        sums[k + 1] += pair_sum(b + d);
    }
    for (; k < n; k++) {
        pair a = {0, 0}, c = {0, 0};
        for (size_t i = 0; i < count; i += 4) {
            a += pair_load(one + i) * pair_load(others[k] + i);
            c += pair_load(one + i + 2) * pair_load(others[k] + i + 2);
        }
        sums[k] += pair_sum(a + c);
    }
}

/* Weighs a block by the problem and the loss; gives its loss. */
static double weigh(const struct fit_problem *problem, enum fit_loss kind, size_t first,
                    struct block *block)
{
    double scale = problem->noise_sd, sum = 0;
    for (size_t i = 0; i < block->count; i++) {
        double weight = weight_of(problem, first + i);
        if (kind == FIT_SQUARES) {
            sum += weight * block->residual[i] * block->residual[i];
        } else {
            struct loss loss = loss_of(kind, block->residual[i] * sqrt(weight) / scale);
            sum += loss.value * scale * scale;
            weight *= loss.factor;
        }
        block->weight[i] = weight;
    }
    fill_up(block->weight, block->count);
    return sum;
}

/* Adds a block to the lower triangle and the right side; `plain`: every weight is 1. */
static void add_block(size_t parameters, struct block *block, bool plain, struct equations *at)
{
    double(*weighted)[FIT_BLOCK] = plain ? block->gradient : block->weighted;
    for (size_t j = 0; j < parameters; j++) {
        for (size_t i = 0; !plain && i < block->count; i += 2)
            pair_store(weighted[j] + i,
                       pair_load(block->weight + i) * pair_load(block->gradient[j] + i));
        fill_up(weighted[j], block->count);
        if (!plain)
            fill_up(block->gradient[j], block->count);
        add_products(weighted[j], block->gradient, j + 1, block->count, at->matrix[j]);
    }
    add_products(block->residual, weighted, parameters, block->count, at->right);
}

static void add_prior(const struct fit_problem *problem, struct equations *at)
{
    for (size_t j = 0; j < problem->parameters; j++) {
        double ridge = ridge_of(problem, j);
        if (ridge == 0 || isinf(ridge))
            continue;
        /* fit_solve() sets every theta: */
        /* NOLINTNEXTLINE(clang-analyzer-core.UndefinedBinaryOperatorResult) */
        double distance = problem->prior_mean[j] - at->theta[j];
        at->matrix[j][j] += ridge;
        at->right[j] += ridge * distance;
        at->cost += ridge * distance * distance;
    }
}

/* Sums over the readings of the influence of each (residual times factor, squared) and of its
 * derivative, 0 or 1: what Huber's covariance is made of. */
struct influence {
    double squares, bends;
};

static void add_influence(const struct fit_problem *problem, size_t first,
                          const struct block *block, struct influence *sum)
{
    for (size_t i = 0; i < block->count; i++) {
        double residual = block->residual[i] * sqrt(weight_of(problem, first + i));
        struct loss loss = loss_of(problem->loss, residual / problem->noise_sd);
        sum->squares += loss.factor * loss.factor * residual * residual;
        sum->bends += loss.bend;
    }
}

/* Builds the equations at at->theta, with the loss named; false where the model has no value.
 * influence: NULL, or where that of the problem's own loss is summed. */
static bool build(const struct fit_problem *problem, enum fit_loss kind, struct equations *at,
                  struct influence *influence)
{
    size_t parameters = problem->parameters;
    bool plain = kind == FIT_SQUARES && !problem->weight;
    struct block block;
    at->loss = 0;
    for (size_t j = 0; j < parameters; j++) {
        at->right[j] = 0;
        for (size_t k = 0; k <= j; k++)
            at->matrix[j][k] = 0;
    }
    if (problem->prepare)
        problem->prepare(at->theta, problem->data);
    for (size_t first = 0; first < problem->points; first += FIT_BLOCK) {
        residuals(problem, at->theta, first, &block);
        if (influence)
            add_influence(problem, first, &block, influence);
        if (plain)
            add_products(block.residual, &block.residual, 1, block.count, &at->loss);
        else
            at->loss += weigh(problem, kind, first, &block);
        add_block(parameters, &block, plain, at);
    }
    at->cost = at->loss;
    for (size_t j = 0; j < parameters; j++) {
        for (size_t k = 0; k < j; k++)
            at->matrix[k][j] = at->matrix[j][k];
    }
    add_prior(problem, at);
    bool sound = isfinite(at->cost);
    for (size_t j = 0; j < parameters; j++)
        sound = sound && isfinite(at->right[j]) && isfinite(at->matrix[j][j]);
    return sound;
}

/* Factors the rows and columns of what is free; false if it is not safely positive. */
static bool factorise(double (*matrix)[FIT_PARAMETERS], const bool *free, size_t parameters,
                      struct factor *f)
{
    f->size = 0;
    for (size_t j = 0; j < parameters; j++) {
        if (free[j])
            f->index[f->size++] = j;
    }
    for (size_t j = 0; j < f->size; j++) {
        size_t row = f->index[j];
        double pivot = matrix[row][row], scaled[FIT_PARAMETERS]; /* row of L times D */
        for (size_t k = 0; k < j; k++) {
            scaled[k] = matrix[row][f->index[k]];
            for (size_t l = 0; l < k; l++)
                scaled[k] -= scaled[l] * f->lower[k][l];
            f->lower[j][k] = scaled[k] * f->inverse_pivot[k];
            pivot -= scaled[k] * f->lower[j][k];
        }
        if (!(pivot > PIVOT_LEAST * matrix[row][row]))
            return false;
        f->inverse_pivot[j] = 1 / pivot;
    }
    return true;
}

/* The forward half of the solution: z with L z = right; gives z' z / D, the fall of the cost
 * that the full step promises. */
static double forward(const struct factor *f, const double *right, double *z)
{
    double fall = 0;
    for (size_t j = 0; j < f->size; j++) {
        z[j] = right[f->index[j]];
        for (size_t k = 0; k < j; k++)
            z[j] -= f->lower[j][k] * z[k];
        fall += z[j] * z[j] * f->inverse_pivot[j];
    }
    return fall;
}

/* The step of every parameter, 0 for those not free. */
static void solve(const struct factor *f, const double *right, size_t parameters, double *step)
{
    double z[FIT_PARAMETERS];
    forward(f, right, z);
    for (size_t j = 0; j < parameters; j++)
        step[j] = 0;
    for (size_t j = f->size; j-- > 0;) {
        z[j] *= f->inverse_pivot[j];
        for (size_t k = j + 1; k < f->size; k++)
            z[j] -= f->lower[k][j] * z[k];
        step[f->index[j]] = z[j];
    }
}

static double low_of(const struct fit_problem *problem, size_t j)
{
    return problem->low ? problem->low[j] : -INFINITY;
}

static double high_of(const struct fit_problem *problem, size_t j)
{
    return problem->high ? problem->high[j] : INFINITY;
}

static double clamp(const struct fit_problem *problem, size_t j, double theta)
{
    if (is_held(problem, j))
        return problem->prior_mean[j];
    return fmin(fmax(theta, low_of(problem, j)), high_of(problem, j));
}

/* A parameter on its bound that the cost would push beyond is not free. */
static void find_free(const struct fit_problem *problem, struct equations *at)
{
    at->free_count = 0;
    for (size_t j = 0; j < problem->parameters; j++) {
        /* fit_solve() sets every theta: */
        /* NOLINTNEXTLINE(clang-analyzer-core.UndefinedBinaryOperatorResult) */
        bool pushed_low = at->theta[j] <= low_of(problem, j) && at->right[j] <= 0;
        bool pushed_high = at->theta[j] >= high_of(problem, j) && at->right[j] >= 0;
        at->free[j] = !is_held(problem, j) && !pushed_low && !pushed_high;
        at->free_count += at->free[j];
    }
}

static size_t count_priors(const struct fit_problem *problem)
{
    size_t count = 0;
    for (size_t j = 0; j < problem->parameters; j++)
        count += ridge_of(problem, j) > 0 && !is_held(problem, j);
    return count;
}

/* Bates & Watts 1981: the part of the residuals that a step could still take away, against the
 * part that none can, each per degree of freedom. INFINITY where the equations are singular. */
static double relative_offset(const struct fit_problem *problem, struct equations *at,
                              double rounding)
{
    double z[FIT_PARAMETERS];
    if (!factorise(at->matrix, at->free, problem->parameters, &at->factor))
        return INFINITY;
    if (at->free_count == 0)
        return 0;
    double fall = forward(&at->factor, at->right, z);
    if (fall <= rounding)
        return 0;
    double left = (double)(problem->points + count_priors(problem)) - (double)at->free_count;
    return sqrt(fall / (double)at->free_count / (at->cost / fmax(1, left)));
}

/* The weighted sum of squares of the readings: what rounding is measured against. NAN or an
 * infinity where one of them, or its weight, cannot be used. */
static double squares_of_readings(const struct fit_problem *problem)
{
    const double *y = problem->y;
    double sum = 0;
    for (size_t point = 0; !problem->weight && point < problem->points; point++)
        sum += y[point] * y[point];
    for (size_t point = 0; problem->weight && point < problem->points; point++) {
        double weight = problem->weight[point];
        sum += (weight >= 0 ? weight : NAN) * y[point] * y[point];
    }
    return sum;
}

static bool input_is_sound(const struct fit_problem *problem, const double *start)
{
    if (problem->parameters == 0 || problem->parameters > FIT_PARAMETERS)
        return false;
    for (size_t j = 0; j < problem->parameters; j++) {
        if (!isfinite(start[j]) || !(low_of(problem, j) <= high_of(problem, j)))
            return false;
        if (problem->prior_sd &&
            (!(problem->prior_sd[j] >= 0) ||
             (!isinf(problem->prior_sd[j]) && !isfinite(problem->prior_mean[j]))))
            return false;
    }
    if (!isfinite(squares_of_readings(problem)))
        return false;
    bool noise_needed =
        problem->loss != FIT_SQUARES || problem->noise_dof > 0 || has_prior(problem);
    return problem->noise_dof >= 0 && (!noise_needed || problem->noise_sd > 0) &&
           !isinf(problem->noise_sd);
}

static size_t count_held(const struct fit_problem *problem)
{
    size_t count = 0;
    for (size_t j = 0; j < problem->parameters; j++)
        count += is_held(problem, j);
    return count;
}

/* The descent: `at` moves to the lowest point found. */
struct descent {
    const struct fit_problem *problem;
    struct equations *at, *to;   /* where it is; where it looks */
    double norm[FIT_PARAMETERS]; /* longest derivative seen of each parameter: its own scale */
    double damping;
    double contraction; /* what the last step left of the offset; 0: not known */
    /* What the steps tell of the second derivative beyond the linear model; only near. */
    bool is_bent;
    double bend[FIT_PARAMETERS][FIT_PARAMETERS];
    double rounding;
    int evaluations, evaluations_most;
};

static bool arrive(struct descent *d, struct equations *at)
{
    d->evaluations++;
    if (!build(d->problem, d->problem->loss, at, NULL))
        return false;
    find_free(d->problem, at);
    at->offset = relative_offset(d->problem, at, d->rounding);
    return true;
}

static void remember_norms(struct descent *d)
{
    for (size_t j = 0; j < d->problem->parameters; j++)
        d->norm[j] = fmax(d->norm[j], sqrt(d->at->matrix[j][j]));
}

/* Factors the rows and columns of what is free of the matrix with its correction and damping, to
 * `sum`. A correction with which that cannot be done is dropped. */
static bool factorise_damped(struct descent *d, const bool *free,
                             double sum[FIT_PARAMETERS][FIT_PARAMETERS], struct factor *factor)
{
    size_t parameters = d->problem->parameters;
    for (;;) {
        for (size_t j = 0; j < parameters; j++) {
            for (size_t k = 0; k < parameters; k++)
                sum[j][k] = d->at->matrix[j][k] + (d->is_bent ? d->bend[j][k] : 0);
            sum[j][j] += d->damping * d->norm[j] * d->norm[j];
        }
        if (factorise(sum, free, parameters, factor))
            return true;
        if (!d->is_bent)
            return false;
        d->is_bent = false;
    }
}

/* The point that the damped step leads to. What would cross its bound stops there, and the others
 * are solved for again. Gives the fall that the model promises, or NAN where there is no step. */
static double damped_step(struct descent *d, struct equations *to)
{
    const struct fit_problem *problem = d->problem;
    double sum[FIT_PARAMETERS][FIT_PARAMETERS], step[FIT_PARAMETERS], promised = 0;
    bool free[FIT_PARAMETERS] = {false}, crosses = true;
    struct factor factor;
    for (size_t j = 0; j < problem->parameters; j++) {
        to->theta[j] = d->at->theta[j];
        free[j] = d->at->free[j];
    }
    while (crosses) {
        double right[FIT_PARAMETERS];
        if (!factorise_damped(d, free, sum, &factor))
            return NAN;
        for (size_t j = 0; j < problem->parameters; j++) {
            right[j] = d->at->right[j];
            for (size_t k = 0; k < problem->parameters; k++)
                right[j] -= free[k] ? 0 : sum[j][k] * (to->theta[k] - d->at->theta[k]);
        }
        solve(&factor, right, problem->parameters, step);
        crosses = false;
        for (size_t j = 0; j < problem->parameters && !crosses; j++) {
            double theta = d->at->theta[j] + step[j];
            if (free[j]) {
                to->theta[j] = clamp(problem, j, theta);
                crosses = to->theta[j] != theta;
                free[j] = !crosses;
            }
        }
    }
    bool moved = false;
    for (size_t j = 0; j < problem->parameters; j++) {
        double went = to->theta[j] - d->at->theta[j];
        double rest = 2 * d->at->right[j] + d->damping * d->norm[j] * d->norm[j] * went;
        for (size_t k = 0; k < problem->parameters; k++)
            rest -= sum[j][k] * (to->theta[k] - d->at->theta[k]);
        promised += went * rest;
        moved = moved || went != 0;
    }
    return moved ? promised : 0;
}

/* The symmetric rank-one correction (Broyden 1967): with it the model bends along the step just
 * taken as the cost did. Only where steps leave much, which a residual far from 0 makes them. */
static void learn_bend(struct descent *d, const struct equations *from)
{
    size_t parameters = d->problem->parameters;
    double went[FIT_PARAMETERS], missed[FIT_PARAMETERS], product = 0, length = 0, size = 0;
    if (!(from->offset < OFFSET_LOCAL))
        d->is_bent = false;
    if (!(from->offset < OFFSET_LOCAL) || d->at->offset < SLOW * from->offset)
        return;
    for (size_t j = 0; j < parameters; j++) {
        /* fit_solve() sets every theta: */
        /* NOLINTNEXTLINE(clang-analyzer-core.UndefinedBinaryOperatorResult) */
        went[j] = d->at->theta[j] - from->theta[j];
        for (size_t k = 0; k < parameters && !d->is_bent; k++)
            d->bend[j][k] = 0;
    }
    for (size_t j = 0; j < parameters; j++) {
        missed[j] = from->right[j] - d->at->right[j];
        for (size_t k = 0; k < parameters; k++)
            missed[j] -= (d->at->matrix[j][k] + d->bend[j][k]) * went[k];
        product += missed[j] * went[j];
        double norm = fmax(d->norm[j], DBL_MIN);
        length += went[j] * norm * went[j] * norm;
        size += missed[j] / norm * (missed[j] / norm);
    }
    if (!(product * product > 1e-4 * length * size))
        return;
    for (size_t j = 0; j < parameters; j++) {
        for (size_t k = 0; k < parameters; k++)
            d->bend[j][k] += missed[j] * missed[k] / product;
    }
    d->is_bent = true;
}

/* Lower; or, where rounding hides that, as low and clearly nearer to the minimum. */
static bool is_better(const struct equations *to, const struct equations *at)
{
    if (to->cost < at->cost)
        return true;
    return to->cost <= at->cost * (1 + 1e-12) && to->offset < 0.5 * at->offset;
}

/* By how well the model foretold a fall, the damping of the next step: near the minimum none, and
 * hardly less where more was needed just now. */
static double damping_after(const struct descent *d, double kept, bool was_raised)
{
    if (kept < 0.25)
        return fmax(4 * d->damping, 1e-6);
    if (kept < 0.75)
        return d->damping;
    return d->damping > 1e-10 && d->to->offset > 0.1 ? d->damping / (was_raised ? 2 : 10) : 0;
}

/* Takes one step down, damping more and more until one is found; false where there is none. */
static bool descend(struct descent *d)
{
    double raise = 4;
    remember_norms(d);
    while (d->damping < 1e15 && d->evaluations < d->evaluations_most) {
        double promised = damped_step(d, d->to);
        if (promised == 0)
            return false;
        if (!isnan(promised) && arrive(d, d->to) && is_better(d->to, d->at)) {
            struct equations *from = d->at;
            double kept = (from->cost - d->to->cost) / promised;
            d->damping = damping_after(d, kept, raise > 4);
            d->contraction = from->offset < OFFSET_LOCAL ? d->to->offset / from->offset : 0;
            d->at = d->to;
            d->to = from;
            learn_bend(d, from);
            return true;
        }
        if (d->is_bent) {
            d->is_bent = false;
            continue;
        }
        d->damping = fmax(raise * d->damping, 1e-4);
        raise *= 2;
    }
    return false;
}

/* How far the point will be from the minimum after one more step. */
static double offset_after(const struct descent *d)
{
    double part = d->contraction;
    if (part == 0)
        return d->at->offset;
    if (!(part < 1))
        return INFINITY;
    double feared = fmin(fmax(CAUTION * part, LEAST_PART), MOST_PART);
    part = fmax(part, d->is_bent ? LEARNED_PART : feared);
    return d->at->offset * part / (1 - part);
}

/* From near enough, the last step: so short that where it leads need not be looked at. */
static void step_unseen(struct descent *d)
{
    d->damping = 0;
    if (isnan(damped_step(d, d->to)))
        return;
    for (size_t j = 0; j < d->problem->parameters; j++)
        d->at->theta[j] = d->to->theta[j];
}

/* The inverse of the factored matrix, in the places of its parameters; 0 elsewhere. */
static void invert(const struct factor *f, size_t parameters,
                   double inverse[FIT_PARAMETERS][FIT_PARAMETERS])
{
    for (size_t j = 0; j < FIT_PARAMETERS; j++) {
        for (size_t k = 0; k < FIT_PARAMETERS; k++)
            inverse[j][k] = 0;
    }
    for (size_t j = 0; j < f->size; j++) {
        double unit[FIT_PARAMETERS] = {0};
        unit[f->index[j]] = 1;
        solve(f, unit, parameters, inverse[f->index[j]]);
    }
}

/* The noise variance that the readings show, and its degrees of freedom. Robust: Huber 1981,
 * 7.6 (6.5), where K corrects for the spread of the derivatives. */
static double noise_variance(const struct fit_problem *problem, const struct equations *at,
                             const struct influence *sum, double dof)
{
    if (problem->loss == FIT_SQUARES)
        return at->loss / dof;
    double n = (double)problem->points;
    double bend = sum->bends / n;
    double spread = bend - bend * bend;
    double k = 1 + (double)at->free_count / n * spread / (bend * bend);
    return k * k * sum->squares / (bend * bend) / dof;
}

/* Noise, degrees of freedom and covariance at the minimum. False where the equations are
 * singular. */
static bool judge(const struct fit_problem *problem, struct equations *at, struct fit *result)
{
    struct influence influence = {0, 0};
    if (problem->loss != FIT_SQUARES &&
        !(build(problem, FIT_SQUARES, at, &influence) &&
          factorise(at->matrix, at->free, problem->parameters, &at->factor)))
        return false;
    const struct factor *f = &at->factor;
    invert(f, problem->parameters, result->covariance);
    double effective = (double)at->free_count;
    for (size_t j = 0; j < f->size; j++) {
        size_t row = f->index[j];
        effective -= ridge_of(problem, row) * result->covariance[row][row];
    }
    result->effective = effective;
    double own = (double)problem->points - effective;
    result->dof = own + problem->noise_dof;
    double known = problem->noise_sd * problem->noise_sd;
    if (isinf(problem->noise_dof))
        result->residual_sd = problem->noise_sd;
    else if (!(result->dof > 1e-9))
        result->residual_sd = NAN;
    else
        result->residual_sd =
            sqrt(((own > 1e-9 ? own * noise_variance(problem, at, &influence, own) : 0) +
                  problem->noise_dof * known) /
                 result->dof);
    double variance = result->residual_sd * result->residual_sd;
    for (size_t j = 0; j < problem->parameters; j++) {
        for (size_t k = 0; k < problem->parameters; k++)
            result->covariance[j][k] *= variance;
    }
    return true;
}

static void forget(struct fit *result)
{
    *result = (struct fit){.rss = NAN, .effective = NAN, .residual_sd = NAN, .dof = NAN};
    result->offset = INFINITY;
    for (size_t j = 0; j < FIT_PARAMETERS; j++) {
        result->theta[j] = NAN;
        for (size_t k = 0; k < FIT_PARAMETERS; k++)
            result->covariance[j][k] = NAN;
    }
}

void fit_solve(const struct fit_problem *problem, const double *start, struct fit *result)
{
    forget(result);
    result->points = problem->points;
    result->parameters = problem->parameters;
    result->status = FIT_BAD_INPUT;
    if (!input_is_sound(problem, start))
        return;
    result->status = FIT_TOO_FEW;
    if (problem->points == 0 ||
        problem->points + count_priors(problem) + count_held(problem) < problem->parameters)
        return;

    double tolerance = problem->tolerance > 0 ? problem->tolerance : 1e-8;
    struct equations first, second;
    struct descent d = {
        .problem = problem,
        .at = &first,
        .to = &second,
        .damping = 1e-3,
        .rounding = 1e-26 * squares_of_readings(problem),
        .evaluations_most = problem->iterations > 0 ? problem->iterations : 200,
    };
    for (size_t j = 0; j < problem->parameters; j++)
        d.at->theta[j] = clamp(problem, j, start[j]);
    result->status = FIT_NOT_CONVERGED;
    if (!arrive(&d, d.at))
        return;
    /* Within the noise of the minimum the linear model holds, and damping would only delay. */
    if (d.at->offset < 1)
        d.damping = 0;
    while (offset_after(&d) > tolerance && d.evaluations < d.evaluations_most && descend(&d))
        ;

    result->iterations = d.evaluations;
    result->offset = fmin(offset_after(&d), d.at->offset);
    result->rss = d.at->loss;
    bool is_near = result->offset <= fmax(tolerance, OFFSET_ENOUGH);
    if (is_near)
        step_unseen(&d);
    for (size_t j = 0; j < problem->parameters; j++) {
        result->theta[j] = d.at->theta[j];
        result->on_bound[j] = !d.at->free[j] && !is_held(problem, j);
    }
    if (isinf(d.at->offset))
        result->status = FIT_SINGULAR;
    else if (is_near)
        result->status = judge(problem, d.at, result) ? FIT_CONVERGED : FIT_SINGULAR;
}

double fit_variance(const struct fit *result, const double *gradient)
{
    double sum = 0;
    for (size_t j = 0; j < result->parameters; j++) {
        for (size_t k = 0; k < result->parameters; k++)
            sum += gradient[j] * result->covariance[j][k] * gradient[k];
    }
    return sum;
}
