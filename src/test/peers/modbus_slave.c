/*
 * A Modbus RTU slave on a pseudo-terminal, with the library libmodbus: a peer that this project did not write.
 *
 *     cc -o modbus_slave modbus_slave.c $(pkg-config --cflags --libs libmodbus) && ./modbus_slave
 *
 * It opens a new pseudo-terminal as its serial port, prints the path of the other end, and answers as unit 17 until its
 * standard input ends. Input registers: 30 int16 285 (28.5 at scale 0.1), 31 and 32 uint32 131073 with its high word
 * first, 33 and 34 float32 22.25. Holding registers: 0 holds 4711, 40 a duty that can be set, 41 and 42 a float that can
 * be set. Everything else does not exist, and the library says so with an exception.
 */
#define _GNU_SOURCE
#include <errno.h>
#include <fcntl.h>
#include <modbus.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

static const int UNIT = 17;

int main(void) {
    modbus_t *context = modbus_new_rtu("/dev/ptmx", 19200, 'N', 8, 1);
    if (context == NULL || modbus_set_slave(context, UNIT) != 0 || modbus_connect(context) != 0) {
        fprintf(stderr, "no port: %s\n", modbus_strerror(errno));
        return 1;
    }
    int port = modbus_get_socket(context);
    char *path;
    if (grantpt(port) != 0 || unlockpt(port) != 0 || (path = ptsname(port)) == NULL) {
        perror("no other end");
        return 1;
    }
    /* Held open, so that the port stays alive between clients. */
    if (open(path, O_RDWR | O_NOCTTY) < 0) {
        perror(path);
        return 1;
    }
    modbus_mapping_t *registers = modbus_mapping_new(0, 0, 43, 35);
    if (registers == NULL) {
        return 1;
    }
    registers->tab_input_registers[30] = 285;
    registers->tab_input_registers[31] = 2;
    registers->tab_input_registers[32] = 1;
    /* 22.25 is 41B20000 in hexadecimal digits (IEEE 754); the library's own conversion differs between its versions. */
    registers->tab_input_registers[33] = 0x41B2;
    registers->tab_input_registers[34] = 0x0000;
    registers->tab_registers[0] = 4711;
    registers->tab_registers[40] = 10000;

    printf("%s\n", path);
    fflush(stdout);
    struct pollfd waits[] = {{0, POLLIN, 0}, {port, POLLIN, 0}};
    while (poll(waits, 2, -1) > 0) {
        if (waits[0].revents) {
            break;
        }
        uint8_t request[MODBUS_RTU_MAX_ADU_LENGTH];
        int length = modbus_receive(context, request);
        if (length == 0) {
            /* Another unit was asked: the library passes over its answer, or waits half a second for it. */
            modbus_receive(context, request);
        }
        if (length > 0) {
            modbus_reply(context, request, length, registers);
        }
    }
    modbus_mapping_free(registers);
    modbus_close(context);
    modbus_free(context);
    return 0;
}
