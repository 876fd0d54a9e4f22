/* A bare client for RoundTrips.java: sends REQUEST to PORT so many times, each time waiting for one line of answer, and
   prints the seconds that took. Usage: round_trips PORT TRIPS REQUEST */
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return t.tv_sec + t.tv_nsec * 1e-9;
}

int main(int argc, char **argv)
{
    if (argc != 4)
        return 2;
    int port = open(argv[1], O_RDWR | O_NOCTTY);
    struct termios mode;
    if (port < 0 || tcgetattr(port, &mode))
        return 3;
    cfmakeraw(&mode);
    if (tcsetattr(port, TCSANOW, &mode))
        return 3;
    char request[1024], answer[4096];
    int length = snprintf(request, sizeof request, "%s\n", argv[3]);
    double began = now();
    for (long trip = atol(argv[2]); trip > 0; trip--) {
        if (write(port, request, length) != length)
            return 4;
        ssize_t got = 0;
        do {
            ssize_t more = read(port, answer + got, sizeof answer - got);
            if (more <= 0)
                return 5;
            got += more;
        } while (answer[got - 1] != '\n');
    }
    printf("%.6f\n", now() - began);
    return 0;
}
