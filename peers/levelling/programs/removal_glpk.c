/* Least removal of lanes by glpk, called in process: one problem a lane, built
 * and solved by the dual simplex. Reads the lanes' file, writes one total a line,
 * then "time_us BUILD_AND_SOLVE SOLVE" a lane on standard error. */
#include <glpk.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#define MOST 64

static double now(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return t.tv_sec * 1e6 + t.tv_nsec * 1e-3;
}

static double solve(int n, double zone, const double *x, const double *d, double *spent) {
    glp_prob *p = glp_create_prob();
    glp_smcp parm;
    int at[4];
    double v[4], total, t;
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
    parm.meth = GLP_DUAL;
    parm.tol_bnd = parm.tol_dj = 1e-10;
    t = now();
    if (glp_simplex(p, &parm) != 0 || glp_get_status(p) != GLP_OPT) exit(3);
    *spent += now() - t;
    total = glp_get_obj_val(p);
    glp_delete_prob(p);
    return total;
}

int main(int argc, char **argv) {
    FILE *f = argc > 1 ? fopen(argv[1], "r") : NULL;
    int lanes, n;
    double zone, solving = 0, start, all;
    if (!f || fscanf(f, "%d %d %lf", &lanes, &n, &zone) != 3 || n > MOST) return 2;
    double(*x)[MOST] = malloc(lanes * sizeof *x), (*d)[MOST] = malloc(lanes * sizeof *d);
    double *total = malloc(lanes * sizeof *total);
    for (int k = 0; k < lanes; k++) {
        for (int i = 0; i < n; i++) if (fscanf(f, "%lf", &x[k][i]) != 1) return 2;
        for (int i = 0; i < n; i++) if (fscanf(f, "%lf", &d[k][i]) != 1) return 2;
    }
    start = now();
    for (int k = 0; k < lanes; k++) total[k] = solve(n, zone, x[k], d[k], &solving);
    all = now() - start;
    for (int k = 0; k < lanes; k++) printf("%.17g\n", total[k]);
    fprintf(stderr, "time_us %.4f %.4f\n", all / lanes, solving / lanes);
    return 0;
}
