package org.plateaubench.bench.sim;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.plateaubench.bench.sim.Fault.Kind;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.clock.VirtualClock;

class SimulatedInstrumentTest {

    private static final long HOUR = 3_600_000;

    private final BenchFile file = Simulations.shipped();
    private final VirtualClock clock = Simulations.clock();
    private final Faults faults = new Faults();
    private final World world = Simulations.world(file, clock, faults);
    private final SimulatedInstrument controller = instrument("controller");
    private final SimulatedInstrument meter = instrument("meter");

    private SimulatedInstrument instrument(String name) {
        return file.devices().stream()
                .filter(d -> d.name().equals(name))
                .map(d -> new SimulatedInstrument(world, file, (DeviceSpec.Serial) d))
                .findFirst()
                .orElseThrow();
    }

    private static String ask(SimulatedInstrument instrument, String request) {
        return new String(instrument.answer(request), StandardCharsets.ISO_8859_1);
    }

    private String ask(String request) {
        return ask(controller, request);
    }

    /** Asks an hour later than now, so that scheduled faults are under way. */
    private String askLater(String request) {
        clock.awaitNanos(clock.nanos() + HOUR * 1_000_000, () -> false);
        world.tick(3600);
        return ask(request);
    }

    private void fault(Kind kind, String target, double value) {
        faults.add(new Fault(kind, target, HOUR / 2, 2 * HOUR, value));
    }

    @Test
    void answersWhatTheBenchFileAsks() {
        world.tick(0);
        assertTrue(ask("MEAS:TEMP? (@1)").matches("2[12]\\.[0-9]{3}\n"));
        assertTrue(ask("MEAS:FREQ? (@11)").matches("6[67]\\.[0-9]{3}\n"));
        assertTrue(ask("MEAS:VOLT? (@31)").matches("0\\.1[0-9]{2}\n|0\\.09[0-9]\n"));
        assertTrue(ask(meter, "L?").matches("[0-9]{2}\\.[0-9] dBA\r\n"));
        assertEquals("PLATEAU,SIMULATED-CONTROLLER,0,1\n", ask("*IDN?"));
    }

    @Test
    void answersACompoundRequestInOneLine() {
        String answer = ask("MEAS:TEMP? (@1);:MEAS:TEMP? (@2);:MEAS:FREQ? (@21);:SOUR1:PULS:DCYC?");
        assertEquals(4, answer.strip().split(";").length, answer);
        assertTrue(answer.endsWith(";100.00\n"), answer);
    }

    @Test
    void afterABareSemicolonAHeaderGoesOnFromThePathBefore() {
        assertEquals(2, ask("MEAS:TEMP? (@1);TEMP? (@2)").strip().split(";").length);
        assertEquals(1, ask("MEAS:TEMP? (@1);MEAS:TEMP? (@2)").strip().split(";").length);
        assertEquals("-113,\"Undefined header\"\n", ask("SYST:ERR?"));
    }

    @Test
    void setsAndReadsBackADuty() {
        assertEquals("", ask("SOUR1:PULS:DCYC 42.5"));
        assertEquals("42.50\n", ask("sour1:puls:dcyc?"));
        assertEquals("55.00\n", ask("SOUR2:PULS:DCYC 5.5E1;:SOUR2:PULS:DCYC?"));
        assertEquals(42.5, world.truth().fanDutyPercent());
        assertEquals(55.0, world.truth().pumpDutyPercent());
    }

    @Test
    void setsAndReadsBackThePower() {
        assertEquals("200.00\n", ask("SOUR3:POW 200;:SOUR3:POW?"));
        assertTrue(world.truth().heated());
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {
                "MEAS:NOISE?          | -113,\"Undefined header\"",
                "SOUR1:PULS:DCYC 101  | -222,\"Data out of range\"",
                "SOUR1:PULS:DCYC -1   | -222,\"Data out of range\"",
                "SOUR1:PULS:DCYC 4,5  | -104,\"Data type error\"",
                "SOUR1:PULS:DCYC fast | -104,\"Data type error\"",
            })
    void saysWhatIsWrongWhenAskedForIt(String request, String error) {
        assertEquals("", ask(request));
        assertEquals(error + "\n", ask("SYST:ERR?"));
        assertEquals("0,\"No error\"\n", ask("SYST:ERR?"));
        assertEquals(100.0, world.truth().fanDutyPercent());
    }

    @Test
    void errorsQueueUpUntilTheQueueIsFullOrCleared() {
        for (int i = 0; i < 30; i++) {
            ask("NO:SUCH?");
        }
        String last = "";
        for (int i = 0; i < 20; i++) {
            last = ask("SYST:ERR?");
        }
        assertEquals("-350,\"Queue overflow\"\n", last);
        assertEquals("0,\"No error\"\n", ask("SYST:ERR?"));
        ask("NO:SUCH?");
        ask("*CLS");
        assertEquals("0,\"No error\"\n", ask("SYST:ERR?"));
    }

    @Test
    void resetBringsTheOutputsBackToFullSpeedAndNoHeat() {
        ask("SOUR1:PULS:DCYC 30;:SOUR3:POW 150");
        ask("*RST");
        assertEquals("100.00;0.00\n", ask("SOUR1:PULS:DCYC?;:SOUR3:POW?"));
    }

    @Test
    void goesToFullSpeedAndWithoutHeatAfterSilence() {
        ask("SOUR1:PULS:DCYC 30;:SOUR3:POW 150");
        clock.awaitNanos(10_000_000_000L, () -> false);
        world.tick(10);
        assertEquals(30.0, world.truth().fanDutyPercent(), "at 10 s the silence has not passed its limit");
        clock.awaitNanos(11_000_000_000L, () -> false);
        world.tick(11);
        assertEquals(100.0, world.truth().fanDutyPercent());
        assertFalse(world.truth().heated());
        assertEquals("100.00;0.00\n", ask("SOUR1:PULS:DCYC?;:SOUR3:POW?"));
    }

    @Test
    void staysAsItIsWhileItIsAsked() {
        ask("SOUR1:PULS:DCYC 30");
        for (int s = 1; s <= 60; s++) {
            clock.awaitNanos(s * 1_000_000_000L, () -> false);
            world.tick(s);
            ask("MEAS:TEMP? (@1)");
        }
        assertEquals(30.0, world.truth().fanDutyPercent());
    }

    /** Each fault shows in the reply, and the truth is what it is without it. */
    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            nullValues = "-",
            value = {
                "SILENT         | controller | 0   | ''",
                "GARBAGE        | controller | 0   | .\\?\\x03~6.\\n",
                "TRUNCATED      | controller | 0   | [0-9]{2}\\.\\n",
                "WRONG_IDENTITY | controller | 0   | -",
                "NO_NUMBER      | coolant    | 0   | 9\\.91E37\\n",
                "POWER_ON_VALUE | coolant    | 0   | 85\\.000\\n",
                "LOST_PROBE     | coolant    | 0   | \\-127\\.000\\n",
                "DECIMAL_COMMA  | coolant    | 0   | 2[0-9],[0-9]{3}\\n",
                "NUL_BYTE       | coolant    | 0   | 2[0-9]\\.\\x00[0-9]{3}\\n",
                "OFFSET         | coolant    | 20  | 4[0-9]\\.[0-9]{3}\\n",
                "DRIFT          | coolant    | 20  | 3[0-9]\\.[0-9]{3}\\n",
                "FACTOR         | coolant    | 2   | 4[0-9]\\.[0-9]{3}\\n",
            })
    void aFaultOfLineOrSensorShowsInTheReplyAndNotInTheTruth(Kind kind, String target, double value, String reply) {
        fault(kind, target, value);
        String answer = askLater("MEAS:TEMP? (@2)");
        if (reply == null) {
            assertEquals("PLATEAU,ANOTHER-INSTRUMENT,7,1\n", ask("*IDN?"));
        } else {
            assertTrue(answer.matches(reply), "found " + answer);
        }
        assertEquals(coolantWithoutFaults(), world.truth().coolantCelsius());
    }

    private double coolantWithoutFaults() {
        VirtualClock other = Simulations.clock();
        World sound = Simulations.world(file, other, new Faults());
        other.awaitNanos(HOUR * 1_000_000, () -> false);
        sound.tick(3600);
        return sound.truth().coolantCelsius();
    }

    @Test
    void aFrozenSensorGivesItsLastValueWhateverHappens() {
        String before = ask("MEAS:TEMP? (@2)");
        fault(Kind.FROZEN, "coolant", 0);
        ask("SOUR3:POW 200");
        for (int s = 1; s <= 3600; s += 5) {
            clock.awaitNanos(s * 1_000_000_000L, () -> false);
            world.tick(s);
            ask("MEAS:TEMP? (@1)");
            if (s == 1796) {
                before = ask("MEAS:TEMP? (@2)");
            }
        }
        assertEquals(before, ask("MEAS:TEMP? (@2)"));
        assertTrue(world.truth().riseKelvin() > 5.0);
    }

    @Test
    void aStaleLineAnswersTheQuestionBefore() {
        fault(Kind.STALE, "controller", 0);
        ask("MEAS:VOLT? (@31)");
        String stale = askLater("MEAS:TEMP? (@2)");
        assertTrue(stale.startsWith("0."), stale);
        assertTrue(ask("MEAS:VOLT? (@31)").startsWith("2"));
    }

    @Test
    void outputsFallBackWhenTheControllerRestarts() {
        fault(Kind.RESET_OUTPUTS, "controller", 0);
        ask("SOUR1:PULS:DCYC 30");
        for (int s = 1; s < 1800; s += 5) {
            clock.awaitNanos(s * 1_000_000_000L, () -> false);
            world.tick(s);
            assertEquals("30.00\n", ask("SOUR1:PULS:DCYC?"));
        }
        clock.awaitNanos(1801 * 1_000_000_000L, () -> false);
        assertEquals("100.00\n", ask("SOUR1:PULS:DCYC?"));
        assertEquals(100.0, world.truth().fanDutyPercent());
    }

    @Test
    void anIgnoredDutyIsReadBackAsIfItWereSet() {
        faults.add(new Fault(Kind.IGNORES_DUTY, BenchFile.FAN_DUTY, 1000, 5000));
        clock.awaitNanos(2_000_000_000L, () -> false);
        assertEquals("30.00\n", ask("SOUR1:PULS:DCYC 30;:SOUR1:PULS:DCYC?"));
        assertEquals(100.0, world.truth().fanDutyPercent());
        clock.awaitNanos(6_000_000_000L, () -> false);
        ask("SOUR1:PULS:DCYC?");
        assertEquals(30.0, world.truth().fanDutyPercent());
    }

    @Test
    void aSilentControllerHearsNothingAndFallsBackByItself() {
        faults.add(new Fault(Kind.SILENT, "controller", 5_000, 60_000));
        ask("SOUR1:PULS:DCYC 30");
        for (int s = 1; s <= 20; s++) {
            clock.awaitNanos(s * 1_000_000_000L, () -> false);
            world.tick(s);
            String answer = ask("SOUR1:PULS:DCYC 30;:SOUR1:PULS:DCYC?");
            assertEquals(s < 5 ? "30.00\n" : "", answer);
        }
        assertEquals(100.0, world.truth().fanDutyPercent());
    }
}
