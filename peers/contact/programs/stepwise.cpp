// The contact run step by step, as a general programmer would write it for
// speed: the scheme of internal/play (modes moved exactly, hard contact without
// restitution), every fret looked at in every step.
//
//   stepwise NOTES ROUNDS rows|frets
//
// rows: the sum over the modes is the inner loop; frets: the frets are. NOTES as
// inputs.go writes it. Prints a line a note: best time of ROUNDS in µs, modes,
// then for each fret first step, contacts and impulse in N s. Set-up is not timed.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <time.h>
#include <vector>

using Row = std::vector<double>;
const double pi = 3.14159265358979323846;

struct Strike { long first = 0, contacts = 0; double impulse = 0; bool touching = false; };

struct Note {
	double length, tension, mass, stiffness, base, square, x0, h, rate;
	long steps, P, M = 0;
	Row x, floor, a, b, g, start, second, S, T, W; // S a row a fret, T a row a mode

	void setUp() {
		const double k = 1 / rate, c = 1e3 * std::sqrt(tension / (mass * 1e-3)), f0 = c / (2 * length);
		const double B = pi * pi * stiffness / (tension * length * length);
		auto hz = [&](double n) { return n * f0 * std::sqrt(1 + B * n * n); };
		while (hz(M + 1) <= 0.8 * rate / 2) M++;
		for (long n = 1; n <= M; n++) {
			const double f = hz(n), w = 2 * pi * f, s = base + square * f * f, wd = std::sqrt(w * w - s * s);
			a.push_back(2 * std::exp(-s * k) * std::cos(wd * k));
			b.push_back(std::exp(-2 * s * k));
			g.push_back(2 * k * k * 1e9 / (mass * length) / (1 + s * k));
			const double q = h * 2 * length * length / (pi * pi * n * n * x0 * (length - x0)) * std::sin(n * pi * x0 / length);
			start.push_back(q);
			second.push_back(q * std::exp(-s * k) * (std::cos(wd * k) + s / wd * std::sin(wd * k)));
		}
		S.resize(P * M), T.resize(P * M), W.resize(P * P);
		for (long j = 0; j < P; j++)
			for (long n = 0; n < M; n++) S[j * M + n] = T[n * P + j] = std::sin((n + 1) * pi * x[j] / length);
		for (long i = 0; i < P; i++)
			for (long j = 0; j < P; j++)
				for (long n = 0; n < M; n++) W[i * P + j] += g[n] * S[i * M + n] * S[j * M + n];
	}

	std::vector<Strike> run(bool rows) const {
		const double k = 1 / rate;
		std::vector<Strike> met(P);
		Row q = second, before = start, u(P), r(P), F(P);
		for (long step = 1; step <= steps; step++) {
			if (step > 1) {
				double *p = before.data();
				const double *v = q.data(), *A = a.data(), *D = b.data();
				for (long n = 0; n < M; n++) p[n] = A[n] * v[n] - D[n] * p[n];
				q.swap(before);
			}
			const double *v = q.data();
			if (rows) {
				for (long j = 0; j < P; j++) {
					const double *s = &S[j * M];
					double sum = 0;
					for (long n = 0; n < M; n++) sum += s[n] * v[n];
					u[j] = sum;
				}
			} else {
				double *U = u.data();
				std::fill(u.begin(), u.end(), 0.0);
				for (long n = 0; n < M; n++) {
					const double *t = &T[n * P], x = v[n];
					for (long j = 0; j < P; j++) U[j] += t[j] * x;
				}
			}
			bool touched = false;
			for (long j = 0; j < P; j++) {
				r[j] = floor[j] - u[j];
				touched |= r[j] > 1e-9;
			}
			if (!touched) {
				for (auto &m : met) m.touching = false;
				continue;
			}
			std::fill(F.begin(), F.end(), 0.0);
			for (int round = 0; round < 200; round++) {
				double moved = 0;
				for (long j = 0; j < P; j++) {
					const double next = std::max(0.0, F[j] + r[j] / W[j * P + j]), d = next - F[j];
					if (d == 0) continue;
					for (long i = 0; i < P; i++) r[i] -= W[i * P + j] * d;
					moved = std::max(moved, std::fabs(d) * W[j * P + j]);
					F[j] = next;
				}
				if (moved < 1e-13) break;
			}
			for (long j = 0; j < P; j++) {
				Strike &m = met[j];
				if (F[j] <= 0) {
					m.touching = false;
					continue;
				}
				for (long n = 0; n < M; n++) q[n] += g[n] * S[j * M + n] * F[j];
				if (!m.touching) m.contacts++;
				m.touching = true;
				if (!m.first) m.first = step;
				m.impulse += F[j] * k;
			}
		}
		return met;
	}
};

// Processor time of this thread, in µs.
static double now() {
	timespec t;
	clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
	return t.tv_sec * 1e6 + t.tv_nsec * 1e-3;
}

int main(int argc, char **argv) {
	if (argc != 4) return 2;
	FILE *in = std::fopen(argv[1], "r");
	const int rounds = std::atoi(argv[2]);
	const bool rows = !std::strcmp(argv[3], "rows");
	long count;
	if (!in || std::fscanf(in, "%ld", &count) != 1) return 2;
	while (count-- > 0) {
		Note n;
		if (std::fscanf(in, "%lf %lf %lf %lf %lf %lf %lf %lf %lf %ld %ld", &n.length, &n.tension, &n.mass, &n.stiffness, &n.base,
				&n.square, &n.x0, &n.h, &n.rate, &n.steps, &n.P) != 11)
			return 2;
		n.x.resize(n.P), n.floor.resize(n.P);
		for (auto *v : {&n.x, &n.floor})
			for (double &d : *v)
				if (std::fscanf(in, "%lf", &d) != 1) return 2;
		n.setUp();
		double best = 1e300;
		std::vector<Strike> met;
		for (int i = 0; i < rounds; i++) {
			const double begin = now();
			met = n.run(rows);
			best = std::min(best, now() - begin);
		}
		std::printf("%.17g %ld", best, n.M);
		for (const auto &m : met) std::printf(" %ld %ld %.17g", m.first, m.contacts, m.impulse);
		std::printf("\n");
	}
}
