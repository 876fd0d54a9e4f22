"""The instruments that two worked bench files describe, on pseudo-terminals: peers in another language than this project's.

    python3 worked_benches.py text      for hardware-notes/benches/text-loop.yaml
    python3 worked_benches.py modbus    for hardware-notes/benches/modbus-loop.yaml

Prints the path of a port for each device of the file, in its order, and answers until standard input ends. Fans turn at
20 rpm for each per cent of duty, the pump at 30; the air has 22 degrees Celsius, the coolant 31.5.
"""

import os
import select
import struct
import sys
import tty

duties = {1: 100.0, 2: 100.0}
watts = [0.0]
errors = []


def hertz(output):
    """Pulse frequency of a fan (1) or the pump (2), two pulses a revolution."""
    return duties[output] * (20.0 if output == 1 else 30.0) * 2 / 60


def with_checksum(text):
    code = 0
    for byte in text.encode("latin-1"):
        code ^= byte
    return "{}*{:02X}".format(text, code)


def text_controller(line):
    text = line[:-3]
    if with_checksum(text) != line:
        answer = "BAD"
    elif text == "*IDN?":
        answer = "FANS 4 v1"
    elif text == "B?":
        answer = "3"
    elif text == "S?":
        answer = "F {0:.1f} {0:.1f} P {1:.1f}".format(hertz(1), hertz(2))
    elif text in ("D1?", "D2?"):
        answer = "{}={}".format(text[:2], round(duties[int(text[1])] * 2.55))
    elif text[:3] in ("D1=", "D2="):
        duties[int(text[1])] = int(text[3:]) / 2.55
        answer = "OK"
    else:
        answer = "WHAT"
    return with_checksum(answer)


def thermometer(line):
    return {"*IDN?": "THERM 2/0017", "T": "T1= 22.00 C T2= 31.50 C"}.get(line, "WHAT")


def meter(line):
    return {"L?": "LAeq 24,7 dB"}.get(line, "WHAT")


def scpi_one(header):
    if header == "*IDN?":
        return "EXAMPLE,FANCTL-2,0042,1.3"
    if header == "*OPC?":
        return "1"
    if header == "SYST:ERR?":
        return errors.pop(0) if errors else '0,"No error"'
    if header in ("MEAS:FREQ? (@11)", "MEAS:FREQ? (@21)"):
        return "{:.3E}".format(hertz(int(header[13])))
    for output in (1, 2):
        name = "SOUR{}:PULS:DCYC".format(output)
        if header == name + "?":
            return "{:.2f}".format(duties[output])
        if header.startswith(name + " "):
            duties[output] = float(header.split(" ")[1])
            return None
    if header == "SOUR3:POW?":
        return "{:.2f}".format(watts[0])
    if header.startswith("SOUR3:POW "):
        watts[0] = float(header.split(" ")[1])
        return None
    errors.append('-113,"Undefined header"')
    return None


def scpi(line):
    answers = [scpi_one(part.strip().lstrip(":")) for part in line.split(";")]
    return ";".join(answer for answer in answers if answer is not None)


def crc(data):
    """Modbus over serial line V1.02, 6.2."""
    code = 0xFFFF
    for byte in data:
        code ^= byte
        for _ in range(8):
            code = (code >> 1) ^ 0xA001 if code & 1 else code >> 1
    return struct.pack("<H", code)


def modbus(frame):
    """Answers one request for registers: functions 3 and 4."""
    unit, function, address, count = struct.unpack(">BBHH", frame[:6])
    low_first = struct.pack(">f", watts[0])[2:] + struct.pack(">f", watts[0])[:2]
    tables = {
        (17, 3): {0: 4711},
        (17, 4): {30: 220, 31: 315},
        (3, 4): {52: struct.unpack(">H", low_first[:2])[0], 53: struct.unpack(">H", low_first[2:])[0]},
    }
    if crc(frame[:6]) != frame[6:8] or unit not in (3, 17):
        return b""
    registers = tables.get((unit, function), {})
    wanted = range(address, address + count)
    if all(a in registers for a in wanted):
        message = bytes([unit, function, 2 * count]) + b"".join(struct.pack(">H", registers[a]) for a in wanted)
    else:
        message = bytes([unit, function | 0x80, 2])
    return message + crc(message)


def main():
    kinds = {
        "text": [(text_controller, b"\n"), (thermometer, b"\r"), (meter, b"\r\n")],
        "modbus": [(scpi, b"\n"), (modbus, None)],
    }
    ends = []
    for instrument, end in kinds[sys.argv[1]]:
        master, slave = os.openpty()
        tty.setraw(slave)
        ends.append((master, instrument, end, bytearray()))
        print(os.ttyname(slave), flush=True)
    while True:
        ready, _, _ = select.select([sys.stdin] + [end[0] for end in ends], [], [])
        if sys.stdin in ready:
            return
        for master, instrument, end, received in ends:
            if master not in ready:
                continue
            received += os.read(master, 4096)
            while end is None and len(received) >= 8:
                answer = instrument(bytes(received[:8]))
                del received[:8]
                os.write(master, answer)
            while end is not None and end in received:
                at = received.index(end)
                line = received[:at].decode("latin-1").strip()
                del received[: at + len(end)]
                answer = instrument(line) if line else ""
                if answer:
                    os.write(master, answer.encode("latin-1") + end)


main()
