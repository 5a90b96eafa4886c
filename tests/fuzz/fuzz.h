/*
 * What every fuzz target has: one function that takes bytes. Built with libFuzzer it is driven by
 * that; with -DFUZZ_STDIN it is a program that reads them from standard input or from files, for
 * other fuzzers and to try an input again.
 */
#ifndef GYLE_FUZZ_H
#define GYLE_FUZZ_H

#include <stddef.h>
#include <stdint.h>

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

#ifdef FUZZ_STDIN
#include <stdio.h>

static int try_stream(FILE *in)
{
    static uint8_t bytes[1 << 20];
    size_t n = in == NULL ? 0 : fread(bytes, 1, sizeof bytes, in);
    return in == NULL ? 1 : LLVMFuzzerTestOneInput(bytes, n);
}

int main(int argc, char **argv)
{
    int failed = argc < 2 ? try_stream(stdin) : 0;
    for (int i = 1; i < argc; i++) {
        FILE *in = fopen(argv[i], "rb");
        failed |= try_stream(in);
        if (in != NULL)
            fclose(in);
    }
    return failed;
}
#endif

#endif
