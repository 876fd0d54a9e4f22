package org.plateaubench.uncertainty;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;

class MeanTestTest {

    /** Validation: NIST/SEMATECH e-Handbook 1.3.5.3, and computed rows of auto83b-results.csv. */
    @Test
    void carsOfTwoCountriesDifferAsPublished() {
        List<Double> us = new ArrayList<>();
        List<Double> japan = new ArrayList<>();
        for (String line : Printed.lines("uncertainty/AUTO83B.DAT").subList(25, 274)) {
            String[] words = line.strip().split("\\s+");
            us.add(Double.parseDouble(words[0]));
            if (!words[1].equals("-999")) {
                japan.add(Double.parseDouble(words[1]));
            }
        }
        double[] first = us.stream().mapToDouble(Double::doubleValue).toArray();
        double[] second = japan.stream().mapToDouble(Double::doubleValue).toArray();
        assertEquals(249, first.length);
        assertEquals(79, second.length);
        Series a = Series.of(first);
        Series b = Series.of(second);
        Printed.assertPrinted("mean 1", "20.14458", a.mean());
        Printed.assertPrinted("s1", "6.41470", a.standardDeviation());
        Printed.assertPrinted("standard error 1", "0.40652", a.standardDeviation() / StrictMath.sqrt(249));
        Printed.assertPrinted("mean 2", "30.48101", b.mean());
        Printed.assertPrinted("s2", "6.10771", b.standardDeviation());
        Printed.assertPrinted("standard error 2", "0.68717", b.standardDeviation() / StrictMath.sqrt(79));
        MeanTest pooled = MeanTest.pooled(first, second);
        Printed.assertPrinted("pooled t", "-12.62059", pooled.t());
        Printed.assertPrinted(
                "pooled s", "6.34260", pooled.standardError() / StrictMath.sqrt(1.0 / 249.0 + 1.0 / 79.0));
        assertEquals(326.0, pooled.degreesOfFreedom());
        Printed.assertPrinted("t0.975,326", "1.9673", Student.factor(0.95, 326));
        Printed.assertPrinted("t0.95,326", "1.6495", Student.factor(0.90, 326));
        assertEquals(5.272935e-30, pooled.twoSided(), 5e-37);
        MeanTest welch = MeanTest.welch(first, second);
        Printed.assertPrinted("Welch t", "-12.946273274932", welch.t());
        Printed.assertPrinted("Welch degrees of freedom", "136.874976673", welch.degreesOfFreedom());
        assertEquals(1.570855e-25, welch.twoSided(), 5e-32);
        Printed.assertPrinted("low", "-11.915248095", welch.difference() - welch.halfWidth(0.95));
        Printed.assertPrinted("high", "-8.757620595", welch.difference() + welch.halfWidth(0.95));
    }

    /** Validation: Student (1908), figures as in student-sleep-results.csv. */
    @Test
    void sleepDiffersAsStudentFound() {
        List<String> lines = Printed.lines("uncertainty/student-sleep.csv");
        double[] first = new double[10];
        double[] second = new double[10];
        for (int i = 0; i < 10; i++) {
            String[] fields = lines.get(i + 1).split(",");
            first[i] = Double.parseDouble(fields[1]);
            second[i] = Double.parseDouble(fields[2]);
        }
        Printed.assertPrinted("mean 1", "0.75", Series.of(first).mean());
        Printed.assertPrinted("mean 2", "2.33", Series.of(second).mean());
        MeanTest welch = MeanTest.welch(first, second);
        Printed.assertPrinted("t", "-1.8608", welch.t());
        Printed.assertPrinted("t", "-1.860813467487", welch.t());
        Printed.assertPrinted("degrees of freedom", "17.776", welch.degreesOfFreedom());
        Printed.assertPrinted("degrees of freedom", "17.776473516", welch.degreesOfFreedom());
        Printed.assertPrinted("p", "0.07939", welch.twoSided());
        Printed.assertPrinted("p", "0.079394140187", welch.twoSided());
        Printed.assertPrinted("low", "-3.3654832", welch.difference() - welch.halfWidth(0.95));
        Printed.assertPrinted("high", "0.2054832", welch.difference() + welch.halfWidth(0.95));
        MeanTest paired = MeanTest.paired(first, second);
        Printed.assertPrinted("paired t", "-4.0621", paired.t());
        Printed.assertPrinted("paired t", "-4.062127683382", paired.t());
        assertEquals(9.0, paired.degreesOfFreedom());
        Printed.assertPrinted("paired p", "0.002833", paired.twoSided());
        Printed.assertPrinted("paired p", "0.002832890197", paired.twoSided());
        MeanTest pooled = MeanTest.pooled(first, second);
        Printed.assertPrinted("pooled t", "-1.860813467487", pooled.t());
        Printed.assertPrinted("pooled p", "0.07919", pooled.twoSided());
        Printed.assertPrinted("pooled p", "0.079186714216", pooled.twoSided());
    }

    @Test
    void refusesSamplesThatSayNothing() {
        assertThrows(IllegalArgumentException.class, () -> MeanTest.welch(new double[] {1}, new double[] {1, 2}));
        assertThrows(IllegalArgumentException.class, () -> MeanTest.paired(new double[] {1, 2}, new double[] {1}));
    }
}
