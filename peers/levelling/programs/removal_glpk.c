/* Least removal of lanes by glpk, called in process: one problem a lane, built
 * and solved. Usage: removal_glpk FILE [dual]; without "dual" glpk's default, the
 * primal simplex. Reads the lanes' file, writes one total a line, then "time_us T" on
 * standard error: lanes are timed ten at a time (a slice of about 0.3 ms, as ours
 * are), the shortest of each ten's times in two seconds of rounds counts, so that
 * other work on the machine does not count against glpk. */
#include <glpk.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define MOST 64
#define SLICE 10

static double now(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return t.tv_sec * 1e6 + t.tv_nsec * 1e-3;
}

static int method = GLP_PRIMAL;

static double solve(int n, double zone, const double *x, const double *d) {
    glp_prob *p = glp_create_prob();
    glp_smcp parm;
    int at[4];
    double v[4], total;
    glp_add_cols(p, 2 + n);
    glp_add_rows(p, 2 * n);
    glp_set_col_bnds(p, 1, GLP_FR, 0, 0);
    glp_set_col_bnds(p, 2, GLP_FR, 0, 0);
    for (int i = 0; i < n; i++) {
        double s = (x[i] - x[0]) / (x[n - 1] - x[0]);
        glp_set_col_bnds(p, 3 + i, GLP_LO, 0, 0);
        glp_set_obj_coef(p, 3 + i, 1);
        at[1] = 1; at[2] = 2; at[3] = 3 + i;
        v[1] = 1; v[2] = s; v[3] = 1;
        glp_set_mat_row(p, 1 + i, 3, at, v);        /* a + b s + r >= d */
        glp_set_row_bnds(p, 1 + i, GLP_LO, d[i], 0);
        glp_set_mat_row(p, 1 + n + i, 2, at, v);    /* a + b s <= d + zone */
        glp_set_row_bnds(p, 1 + n + i, GLP_UP, 0, d[i] + zone);
    }
    glp_init_smcp(&parm);
    parm.msg_lev = GLP_MSG_OFF;
    parm.meth = method;
    parm.tol_bnd = parm.tol_dj = 1e-10;
    if (glp_simplex(p, &parm) != 0 || glp_get_status(p) != GLP_OPT) exit(3);
    total = glp_get_obj_val(p);
    glp_delete_prob(p);
    return total;
}

int main(int argc, char **argv) {
    FILE *f = argc > 1 ? fopen(argv[1], "r") : NULL;
    int lanes, n;
    double zone, begin, start, spent, sum = 0;
    if (!f || fscanf(f, "%d %d %lf", &lanes, &n, &zone) != 3 || n > MOST) return 2;
    if (argc > 2 && !strcmp(argv[2], "dual")) method = GLP_DUAL;
    double(*x)[MOST] = malloc(lanes * sizeof *x), (*d)[MOST] = malloc(lanes * sizeof *d);
    double *total = malloc(lanes * sizeof *total), *least = calloc(lanes, sizeof *least);
    for (int k = 0; k < lanes; k++) {
        for (int i = 0; i < n; i++) if (fscanf(f, "%lf", &x[k][i]) != 1) return 2;
        for (int i = 0; i < n; i++) if (fscanf(f, "%lf", &d[k][i]) != 1) return 2;
    }
    begin = now();
    do {
        for (int k = 0; k < lanes;) {
            int first = k;
            start = now();
            for (; k < lanes && k < first + SLICE; k++) total[k] = solve(n, zone, x[k], d[k]);
            spent = now() - start;
            if (least[first] == 0 || spent < least[first]) least[first] = spent;
        }
    } while (now() - begin < 2e6);
    for (int k = 0; k < lanes; k++) {
        printf("%.17g\n", total[k]);
        sum += least[k];
    }
    fprintf(stderr, "time_us %.4f\n", sum / lanes);
    return 0;
}
