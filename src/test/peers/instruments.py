"""Two small instruments on pseudo-terminals: peers in another language than this project's.

    python3 instruments.py

Prints the paths of two ports, the SCPI instrument's and the text instrument's, and answers on both until its standard
input ends.

The SCPI instrument is a fan controller after IEEE 488.2: compound requests with paths relative to the header before, an
error queue, *OPC?, numbers in NR3 form with a plus sign. The text instrument is a thermometer with two probes whose lines
end with a carriage return and carry a checksum, an exclusive or of all characters, behind an asterisk; it answers in
words, counts how often it was started, and its fan is set on a scale of 255.
"""

import os
import select
import sys
import tty


class Scpi:
    """A fan controller that speaks SCPI."""

    end = b"\n"

    def __init__(self):
        self.duty = 100.0
        self.errors = []

    def answer(self, line):
        answers = []
        path = ""
        for unit in line.split(";"):
            unit = unit.strip()
            if unit.startswith("*"):
                header = unit
            else:
                header = unit[1:] if unit.startswith(":") else path + unit
                name = header.split(" ")[0]
                path = name[: name.rfind(":") + 1]
            answer = self.single(header)
            if answer is not None:
                answers.append(answer)
        return ";".join(answers)

    def single(self, unit):
        if unit == "*IDN?":
            return "PYTHON,FAN CONTROLLER,3,1.0"
        if unit == "*OPC?":
            return "1"
        if unit == "SYST:ERR?":
            return self.errors.pop(0) if self.errors else '+0,"No error"'
        if unit == "MEAS:TEMP? (@1)":
            return "+2.2125E+01"
        if unit == "MEAS:TEMP? (@2)":
            return "+9.91E+37"
        if unit == "MEAS:FREQ? (@11)":
            return "{:+.3E}".format(60.0 * self.duty / 100.0)
        if unit == "SOUR:DCYC?":
            return "{:+.4E}".format(self.duty)
        if unit.startswith("SOUR:DCYC "):
            value = float(unit.split(" ")[1])
            if 0.0 <= value <= 100.0:
                self.duty = value
            else:
                self.errors.append('-222,"Data out of range"')
            return None
        self.errors.append('-113,"Undefined header"')
        return None


class Text:
    """A thermometer with two probes and a fan."""

    end = b"\r"

    def __init__(self):
        self.level = 255

    @staticmethod
    def checksum(text):
        code = 0
        for byte in text.encode("latin-1"):
            code ^= byte
        return "{}*{:02X}".format(text, code)

    def answer(self, line):
        text = line[:-3]
        if self.checksum(text) != line:
            return self.checksum("BAD CHECKSUM")
        return self.checksum(self.single(text))

    def single(self, text):
        if text == "*IDN?":
            return "PROBES 7"
        if text == "T?":
            return "T1= 22,5 C T2=-3.25 C"
        if text == "B?":
            return "4"
        if text == "F?":
            return "FAN {} OF 255".format(self.level)
        if text.startswith("F="):
            self.level = int(text[2:])
            return "OK"
        return "WHAT"


def main():
    ends = []
    for instrument in (Scpi(), Text()):
        master, slave = os.openpty()
        tty.setraw(slave)
        ends.append((master, instrument, bytearray()))
        print(os.ttyname(slave), flush=True)
    while True:
        ready, _, _ = select.select([sys.stdin] + [master for master, _, _ in ends], [], [])
        if sys.stdin in ready:
            return
        for master, instrument, received in ends:
            if master in ready:
                received += os.read(master, 4096)
                while instrument.end in received:
                    at = received.index(instrument.end)
                    line = received[:at].decode("latin-1")
                    del received[: at + 1]
                    if line.strip():
                        answer = instrument.answer(line.strip())
                        if answer:
                            os.write(master, answer.encode("latin-1") + instrument.end)


main()
