/* The array's sixteen filters by overlap-save with FFTW, as a measure for our own: the least time of a block, over many blocks.
 *
 *     gcc -O3 -march=x86-64-v3 overlap-save.c -lfftw3f -lm -o overlap-save && ./overlap-save 257 64 512
 *
 * Arguments: taps, then block lengths. For each block it takes the fastest transform of several lengths that have room for block and
 * filter; planned with FFTW_MEASURE, single precision, planes of real and imaginary parts as FFTW lays them out (interleaved).
 * Like the plug-in it adds no latency: a block that comes in goes out filtered. Prints "block transform nanoseconds-a-frame". */
#include <complex.h>
#include <fftw3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { CHANNELS = 4, ROUNDS = 4000 };

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return t.tv_sec + 1e-9 * t.tv_nsec;
}

static int is_smooth(int n)
{
    for (int p = 2; p <= 5; p += p == 2 ? 1 : 2)
        while (n % p == 0)
            n /= p;
    return n == 1;
}

static double measure(int taps, int block, int n)
{
    int bins = n / 2 + 1;
    float *window[CHANNELS], *time = fftwf_alloc_real(n), *out = fftwf_alloc_real(CHANNELS * block), *in = fftwf_alloc_real(CHANNELS * block);
    fftwf_complex *x[CHANNELS], *sum = fftwf_alloc_complex(bins), *h = fftwf_alloc_complex((size_t)CHANNELS * CHANNELS * bins);
    fftwf_plan forward[CHANNELS], inverse = fftwf_plan_dft_c2r_1d(n, sum, time, FFTW_MEASURE);
    for (int c = 0; c < CHANNELS; c++) {
        window[c] = fftwf_alloc_real(n);
        x[c] = fftwf_alloc_complex(bins);
        forward[c] = fftwf_plan_dft_r2c_1d(n, window[c], x[c], FFTW_MEASURE | FFTW_PRESERVE_INPUT);
        memset(window[c], 0, n * sizeof(float));
    }
    srand(1);
    for (int f = 0; f < CHANNELS * CHANNELS; f++) {
        fftwf_plan of = fftwf_plan_dft_r2c_1d(n, time, h + (size_t)f * bins, FFTW_ESTIMATE);
        memset(time, 0, n * sizeof(float));
        for (int k = 0; k < taps; k++)
            time[k] = (rand() / (float)RAND_MAX - 0.5f) / n;
        fftwf_execute(of);
        fftwf_destroy_plan(of);
    }
    for (int i = 0; i < CHANNELS * block; i++)
        in[i] = rand() / (float)RAND_MAX - 0.5f;

    double least = 1e9;
    for (int round = 0; round < ROUNDS; round++) {
        double start = now();
        for (int c = 0; c < CHANNELS; c++) {
            memmove(window[c], window[c] + block, (n - block) * sizeof(float));
            memcpy(window[c] + n - block, in + c * block, block * sizeof(float));
            fftwf_execute(forward[c]);
        }
        for (int o = 0; o < CHANNELS; o++) {
            const fftwf_complex *row = h + (size_t)o * CHANNELS * bins;
            for (int b = 0; b < bins; b++)
                sum[b] = x[0][b] * row[b] + x[1][b] * row[bins + b] + x[2][b] * row[2 * bins + b] + x[3][b] * row[3 * bins + b];
            fftwf_execute(inverse);
            memcpy(out + o * block, time + n - block, block * sizeof(float));
        }
        double took = now() - start;
        if (took < least)
            least = took;
    }
    for (int c = 0; c < CHANNELS; c++) {
        fftwf_destroy_plan(forward[c]);
        fftwf_free(window[c]);
        fftwf_free(x[c]);
    }
    fftwf_destroy_plan(inverse);
    fftwf_free(time);
    fftwf_free(out);
    fftwf_free(in);
    fftwf_free(sum);
    fftwf_free(h);
    return 1e9 * least / block;
}

int main(int argc, char **argv)
{
    if (argc < 3)
        return fprintf(stderr, "usage: overlap-save TAPS BLOCK...\n"), 2;
    int taps = atoi(argv[1]);
    for (int a = 2; a < argc; a++) {
        int block = atoi(argv[a]), fastest = 0, tried = 0;
        double least = 1e9;
        for (int n = block + taps - 1; tried < 6 && n < 4 * (block + taps); n++) {
            if (n % 2 != 0 || !is_smooth(n))
                continue;
            tried++;
            double took = measure(taps, block, n);
            if (took < least)
                least = took, fastest = n;
        }
        for (int n = 64; n < 8 * (block + taps); n *= 2) {
            if (n < block + taps - 1)
                continue;
            double took = measure(taps, block, n);
            if (took < least)
                least = took, fastest = n;
            break;
        }
        printf("%d %d %.1f\n", block, fastest, least);
        fflush(stdout);
    }
    return 0;
}
