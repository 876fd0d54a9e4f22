package org.plateaubench.bench;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec.Range;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.units.Unit;

class ThermometerLeapsTest {

    private static final BenchFile FILE = BenchFiles.of(
            List.of(BenchFiles.serial("c", "/dev/c", DeviceSpec.Dialect.SCPI, "")),
            List.of(
                    BenchFiles.channel(
                            "coolant",
                            "c",
                            "T?",
                            "",
                            Unit.CELSIUS,
                            OptionalInt.empty(),
                            Optional.of(new Range(5.0, 80.0))),
                    BenchFiles.channel("cpu", "c", "P?", Unit.CELSIUS)),
            List.of());

    private final ThermometerLeaps leaps = new ThermometerLeaps(FILE);

    private Reading[] marked(Reading coolant, Reading cpu) {
        Reading[] readings = {coolant, cpu};
        leaps.mark(readings);
        return readings;
    }

    private static Reading celsius(double value, Quality quality) {
        return Reading.of(value, Unit.CELSIUS, quality);
    }

    @ParameterizedTest
    @EnumSource(names = {"GOOD", "OUT_OF_RANGE"})
    void thePowerOnValueIsTheThermometersFaultWhateverItsRange(Quality quality) {
        assertEquals(
                Reading.none(Quality.DEVICE_FAULT), marked(celsius(85.0, quality), celsius(40.0, Quality.GOOD))[0]);
    }

    @Test
    void aProcessorMayBeAsHotAsThePowerOnValue() {
        Reading cpu = celsius(85.0, Quality.GOOD);
        assertEquals(cpu, marked(celsius(30.0, Quality.GOOD), cpu)[1]);
    }

    @Test
    void aLeapIsBelievedOnceThreeReadingsAgreeAboutIt() {
        List<Quality> qualities = new ArrayList<>();
        for (double celsius : new double[] {30.0, 30.1, 3.0, 30.1, 36.0, 36.1, 36.2, 36.1}) {
            qualities.add(marked(celsius(celsius, Quality.GOOD), celsius(40.0, Quality.GOOD))[0].quality());
        }
        assertEquals(
                List.of(
                        Quality.GOOD,
                        Quality.GOOD,
                        Quality.OUT_OF_RANGE,
                        Quality.GOOD,
                        Quality.OUT_OF_RANGE,
                        Quality.OUT_OF_RANGE,
                        Quality.GOOD,
                        Quality.GOOD),
                qualities);
    }
}
