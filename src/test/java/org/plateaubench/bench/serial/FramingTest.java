package org.plateaubench.bench.serial;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.plateaubench.bench.BenchFiles;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.benchfile.DeviceSpec.Checksum;
import org.plateaubench.benchfile.DeviceSpec.Parity;
import org.plateaubench.sample.Quality;
import org.plateaubench.units.Unit;

/** Tests of lines with a checksum behind them. */
class FramingTest {

    /**
     * Validation: the exclusive or of the characters of a sentence in the standard form of marine instruments (widely
     * printed example sentence of NMEA 0183, "GPGLL,5300.97914,N,00259.98174,E,125926,A" with 28); the sum of "123456789"
     * is 477, which is 1DD in hexadecimal digits.
     */
    @ParameterizedTest
    @CsvSource({
        "XOR, 'GPGLL,5300.97914,N,00259.98174,E,125926,A', 28",
        "SUM, 123456789, DD",
        "XOR, '', 00",
        "SUM, A, 41"
    })
    void theChecksumStandsBehindAnAsterisk(Checksum checksum, String text, String digits) {
        assertEquals(text + "*" + digits, checksum.appended(text));
        assertEquals(Optional.of(text), checksum.checked(text + "*" + digits.toLowerCase(java.util.Locale.ROOT)));
    }

    @ParameterizedTest
    @ValueSource(strings = {"28.5", "28.5*", "28.5*1", "28.5*12", "28.4*11", "*11", "", "28.5*11 ", "2*8.511"})
    void anyOtherLineHasNone(String line) {
        assertEquals("28.5*11", Checksum.XOR.appended("28.5"));
        assertEquals(Optional.empty(), Checksum.XOR.checked(line));
    }

    @Test
    @Timeout(10)
    void aWrongChecksumIsAGarbledReadingOverARealLine() throws Exception {
        assumeTrue(Pty.supported());
        String[] answer = {Checksum.XOR.appended("28.5 C")};
        try (Pty pty = Pty.open()) {
            pty.serve(request -> Pty.line(request.equals(Checksum.XOR.appended("T?")) ? answer[0] : "?"));
            DeviceSpec.Serial spec = new DeviceSpec.Serial(
                    "probe",
                    pty.path(),
                    9600,
                    Parity.EVEN,
                    2,
                    DeviceSpec.Dialect.TEXT,
                    "\n",
                    Optional.of(Checksum.XOR),
                    false,
                    Optional.empty(),
                    Optional.empty(),
                    300,
                    OptionalDouble.empty());
            BenchFile file = BenchFiles.of(
                    List.of(spec),
                    List.of(BenchFiles.channel(
                            "coolant",
                            "probe",
                            "T?",
                            "([0-9.]+) C",
                            Unit.CELSIUS,
                            java.util.OptionalInt.empty(),
                            Optional.empty())),
                    List.of());
            try (SerialDevice device = new SerialDevice(file, spec, Ports.of(spec))) {
                device.open();
                assertEquals("28.500", device.read(0).readings().get(0).text());
                answer[0] = answer[0].replace("28.5", "88.5");
                assertEquals(Quality.GARBLED, device.read(1).readings().get(0).quality());
            }
        }
    }
}
