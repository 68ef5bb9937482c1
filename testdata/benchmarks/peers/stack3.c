// stack-3 by hand in C: 41 inputs drawn, 11 outputs worked out and summed up, 256 samples at a time.
//
//     cc -O3 -march=native -o stack3 stack3.c -lm && ./stack3 speed && ./stack3 sums
//
// "speed" prints samples per second, by processor time and by wall time, the best of a few runs;
// "sums" prints for each output its number, samples, mean and standard deviation.
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#define BATCH 256
#define NIN 41
#define NOUT 11

typedef uint64_t u64;
typedef int64_t i64;
typedef uint32_t u32;

static inline double max0(double a) { return a > 0 ? a : 0; }
static inline double dmax(double a, double b) { return a > b ? a : b; }
static inline double dmin(double a, double b) { return a < b ? a : b; }

// atan_small is the arctangent of the small angles that occur here.
static inline double atan_small(double t) {
	double z = t * t;
	return t - t * z * (1.0 / 3 - z * (0.2 - z * (1.0 / 7 - z * (1.0 / 9))));
}

#include "stack3kernel.h"

// Random words: xoshiro256++. Source: Blackman and Vigna, Scrambled linear pseudorandom number
// generators, ACM Trans. Math. Softw. 47 (2021); the authors placed it in the public domain.
typedef struct { u64 s0, s1, s2, s3; } gen;

static inline u64 rotl(u64 x, int k) { return (x << k) | (x >> (64 - k)); }

static inline u64 word(gen *g) {
	u64 r = rotl(g->s0 + g->s3, 23) + g->s0, t = g->s1 << 17;
	g->s2 ^= g->s0;
	g->s3 ^= g->s1;
	g->s1 ^= g->s2;
	g->s0 ^= g->s3;
	g->s2 ^= t;
	g->s3 = rotl(g->s3, 45);
	return r;
}

static u64 mix(u64 z) {
	z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ull;
	z = (z ^ (z >> 27)) * 0x94d049bb133111ebull;
	return z ^ (z >> 31);
}

static gen seeded(u64 seed) {
	u64 s[4];
	for (int i = 0; i < 4; i++)
		s[i] = mix(seed += 0x9e3779b97f4a7c15ull);
	return (gen){s[0], s[1], s[2], s[3]};
}

static inline double unit(u64 u) { return (double)(u >> 11) * 0x1p-53; }
static inline double unit_open(u64 u) { return ((double)(u >> 12) + 0.5) * 0x1p-52; }

// Normal numbers: a ziggurat of 256 layers. Source: Marsaglia and Tsang, The ziggurat method for
// generating random variables, J. Stat. Softw. 5 (2000).
#define ZR 3.6541528853610088
#define ZV 0.00492867323399
static struct { i64 k; double w; } zt[256];
static double zf[257];

static void ziggurat(void) {
	double x[257];
	x[0] = ZV / exp(-0.5 * ZR * ZR);
	x[1] = ZR;
	for (int i = 2; i < 256; i++)
		x[i] = sqrt(-2 * log(ZV / x[i - 1] + exp(-0.5 * x[i - 1] * x[i - 1])));
	x[256] = 0;
	for (int i = 0; i < 256; i++) {
		zt[i].k = (i64)(x[i + 1] / x[i] * (double)(1ll << 55));
		zt[i].w = x[i] / (double)(1ll << 55);
		zf[i] = exp(-0.5 * x[i] * x[i]);
	}
	zf[256] = 1;
}

static __attribute__((noinline)) double normal_slow(u64 u, gen *g) {
	for (;;) {
		i64 j = (i64)u >> 8, a = j < 0 ? -j : j;
		u64 i = u & 255;
		double z = (double)j * zt[i].w;
		if (a < zt[i].k)
			return z;
		if (i == 0)
			for (;;) {
				double x = -log(unit_open(word(g))) / ZR, y = -log(unit_open(word(g)));
				if (y + y >= x * x)
					return j < 0 ? -ZR - x : ZR + x;
			}
		if (zf[i] + unit(word(g)) * (zf[i + 1] - zf[i]) < exp(-0.5 * z * z))
			return z;
		u = word(g);
	}
}

static inline double normal(gen *g) {
	u64 u = word(g);
	i64 j = (i64)u >> 8, a = j < 0 ? -j : j;
	int i = u & 255;
	if (__builtin_expect(a < zt[i].k, 1))
		return (double)j * zt[i].w;
	return normal_slow(u, g);
}

static void fill_normal(gen *gp, double *restrict d, double mu, double sd) {
	gen g = *gp;
	for (int i = 0; i < BATCH; i++) {
		u64 u = word(&g);
		i64 j = (i64)u >> 8, a = j < 0 ? -j : j;
		int k = u & 255;
		double z = (double)j * zt[k].w;
		if (__builtin_expect(a >= zt[k].k, 0)) {
			*gp = g;
			z = normal_slow(u, gp);
			g = *gp;
		}
		d[i] = mu + sd * z;
	}
	*gp = g;
}

// The inputs: 35 normal, 6 of them cut at three standard deviations, 4 uniform, 2 of either sign.
enum { NORMAL, CUT, UNIFORM, SIGN };
static struct { int kind; double mu, sd; } in[NIN];

static void inputs(void) {
	static const double thick[3] = {120, 25, 90};
	for (int p = 0; p < 3; p++) {
		in[3 * p].kind = in[3 * p + 1].kind = CUT;
		in[3 * p].sd = in[3 * p + 1].sd = 5e-5;
		in[3 * p + 2].mu = thick[p];
		in[3 * p + 2].sd = 0.02;
	}
	for (int j = 0; j < 2; j++) {
		in[9 + 4 * j].mu = 120.012;
		in[10 + 4 * j].mu = 120;
		in[9 + 4 * j].sd = in[10 + 4 * j].sd = 0.004;
		in[11 + 4 * j].kind = in[12 + 4 * j].kind = UNIFORM;
		in[17 + 2 * j].mu = 0.012;
		in[17 + 2 * j].sd = 0.005;
		in[18 + 2 * j].kind = SIGN;
	}
	for (int i = 21; i < 41; i++)
		in[i].sd = i < 31 ? 0.005 : 1e-4;
}

static void draw(gen *g, double (*x)[BATCH]) {
	for (int k = 0; k < NIN; k++) {
		double *d = x[k];
		switch (in[k].kind) {
		case NORMAL:
			fill_normal(g, d, in[k].mu, in[k].sd);
			break;
		case CUT:
			fill_normal(g, d, 0, 1);
			for (int i = 0; i < BATCH; i++) {
				double z = d[i];
				while (z > 3 || z < -3)
					z = normal(g);
				d[i] = in[k].mu + in[k].sd * z;
			}
			break;
		case UNIFORM: {
			gen l = *g;
			for (int i = 0; i < BATCH; i++)
				d[i] = unit(word(&l));
			*g = l;
			break;
		}
		default: {
			u64 u = 0;
			for (int i = 0; i < BATCH; i++) {
				if (!(i & 63))
					u = word(g);
				d[i] = (double)((i64)(u & 1) * 2 - 1);
				u >>= 1;
			}
		}
		}
	}
}

// Sums: mean and squares by batches (Chan, Golub and LeVeque), least, most, and a histogram by the
// leading bits of the number, for quantiles.
#define HBITS 7
#define HBASE ((1023 - 20) << HBITS)
#define HHALF (32 << HBITS)
typedef struct { double n, mean, m2, min, max, ref; u32 h[2 * HHALF]; } sums;

static inline int bucket(double v) {
	u64 b;
	memcpy(&b, &v, 8);
	int i = (int)(b >> (52 - HBITS) & ((1 << (11 + HBITS)) - 1)) - HBASE;
	i = i < 0 ? 0 : i >= HHALF ? HHALF - 1 : i;
	return i | (int)(b >> 63) * HHALF;
}

static void add(sums *a, const double *restrict y) {
	double ref = a->ref, mn = a->min, mx = a->max;
	double S[4] = {0}, MN[4] = {mn, mn, mn, mn}, MX[4] = {mx, mx, mx, mx};
	for (int i = 0; i < BATCH; i += 4)
		for (int q = 0; q < 4; q++) {
			double v = y[i + q];
			S[q] += v;
			MN[q] = v < MN[q] ? v : MN[q];
			MX[q] = v > MX[q] ? v : MX[q];
		}
	for (int i = 0; i < BATCH; i++)
		a->h[bucket(y[i] - ref)]++;
	for (int q = 0; q < 4; q++) {
		if (MN[q] < mn)
			mn = MN[q];
		if (MX[q] > mx)
			mx = MX[q];
	}
	double m = ((S[0] + S[1]) + (S[2] + S[3])) / BATCH, Q[4] = {0};
	for (int i = 0; i < BATCH; i += 4)
		for (int q = 0; q < 4; q++) {
			double d = y[i + q] - m;
			Q[q] += d * d;
		}
	double m2 = (Q[0] + Q[1]) + (Q[2] + Q[3]), t = a->n + BATCH, d = m - a->mean;
	a->mean += d * (BATCH / t);
	a->m2 += m2 + d * d * (a->n * BATCH / t);
	a->n = t;
	a->min = mn;
	a->max = mx;
}

static double X[NIN][BATCH] __attribute__((aligned(64))), Y[NOUT][BATCH] __attribute__((aligned(64)));
static sums A[NOUT];
static gen G;

static void run(int n) {
	for (int i = 0; i < n; i += BATCH) {
		draw(&G, X);
		eval_batch(X, Y);
		for (int k = 0; k < NOUT; k++)
			add(&A[k], Y[k]);
	}
}

static double now(clockid_t clock) {
	struct timespec t;
	clock_gettime(clock, &t);
	return t.tv_sec + 1e-9 * t.tv_nsec;
}

int main(int argc, char **argv) {
	inputs();
	ziggurat();
	G = seeded(21);
	for (int k = 0; k < NOUT; k++) {
		A[k].min = INFINITY;
		A[k].max = -INFINITY;
	}
	A[10].ref = 227;
	if (argc > 1 && !strcmp(argv[1], "sums")) {
		run(1 << 20);
		for (int k = 0; k < NOUT; k++)
			printf("S %d %.0f %.12g %.9g\n", k, A[k].n, A[k].mean, sqrt(A[k].m2 / (A[k].n - 1)));
		return 0;
	}
	int n = 200 * BATCH;
	double best = 0, wall = 0;
	run(n / 8);
	for (int r = 0; r < 9; r++) {
		double t = now(CLOCK_PROCESS_CPUTIME_ID), w = now(CLOCK_MONOTONIC);
		run(n);
		best = dmax(best, n / (now(CLOCK_PROCESS_CPUTIME_ID) - t));
		wall = dmax(wall, n / (now(CLOCK_MONOTONIC) - w));
	}
	printf("R %.6g %.6g\n", best, wall);
	return 0;
}
