package org.plateaubench.uncertainty;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvFileSource;
import org.junit.jupiter.params.provider.CsvSource;

class BudgetTest {

    /** Validation: JCGM 100:2008 (GUM), table G.2 as printed, and the same factors computed. */
    @ParameterizedTest
    @CsvFileSource(resources = "/reference/uncertainty/t-table-gum-g2.csv", numLinesToSkip = 1)
    void studentFactorsAreThoseOfTheGum(
            String freedom,
            String printed95,
            double t68,
            double t90,
            double t95,
            double t9545,
            double t99,
            double t9973) {
        double nu = freedom.equals("inf") ? Double.POSITIVE_INFINITY : Double.parseDouble(freedom);
        Printed.assertPrinted("t95", printed95, Student.factor(0.95, nu));
        assertEquals(t68, Student.factor(oneTwoThreeSigma(1.0), nu), 1e-6);
        assertEquals(t90, Student.factor(0.90, nu), 1e-6);
        assertEquals(t95, Student.factor(0.95, nu), 1e-6);
        assertEquals(t9545, Student.factor(oneTwoThreeSigma(2.0), nu), 1e-6);
        assertEquals(t99, Student.factor(0.99, nu), 1e-6);
        assertEquals(t9973, Student.factor(oneTwoThreeSigma(3.0), nu), 1e-6);
    }

    private static double oneTwoThreeSigma(double sigmas) {
        return 1.0 - Student.twoSided(sigmas, Double.POSITIVE_INFINITY);
    }

    /** Validation: JCGM 100:2008, G.4.1; relative uncertainties in per cent. */
    @Test
    void aProductOfThreeInputsHasTheDegreesOfFreedomOfTheGum() {
        Budget budget = new Budget(List.of(line("x1", 0.25, 9), line("x2", 0.57, 4), line("x3", 0.82, 14)));
        Printed.assertPrinted("uc", "1.03", budget.standardUncertainty());
        Printed.assertPrinted("uc", "1.029465881", budget.standardUncertainty());
        Printed.assertPrinted("effective degrees of freedom", "19.0", budget.degreesOfFreedom());
        Printed.assertPrinted("effective degrees of freedom", "18.998742314", budget.degreesOfFreedom());
        Printed.assertPrinted("t95(19)", "2.09", budget.coverageFactor(0.95));
        Printed.assertPrinted("U95", "2.2", budget.expanded(0.95));
        assertEquals(2.154696852, budget.expanded(0.95), 1e-4); // the reference takes exactly 19 degrees of freedom
        assertEquals(2.2, Rounded.of(0.0, budget.expanded(0.95)).expanded());
    }

    /** Validation: JCGM 100:2008, H.1, calibration of an end gauge; unrounded inputs, nanometres. */
    @Test
    void anEndGaugeHasTheUncertaintyOfTheGum() {
        double dilatation = 50.000623e6 * -0.1; // length times deviation of the temperature, nm °C
        Budget difference = new Budget(List.of(
                line("repeated observations", 13.0 / StrictMath.sqrt(5.0), 24),
                line("comparator, random", 10.0 / 2.57, 5),
                line("comparator, systematic", 20.0 / 3.0, 8)));
        Printed.assertPrinted("u(d)", "9.7", difference.standardUncertainty());
        Printed.assertPrinted("u(d)", "9.663577", difference.standardUncertainty());
        Printed.assertPrinted("degrees of freedom of u(d)", "25.6", difference.degreesOfFreedom());
        Printed.assertPrinted("degrees of freedom of u(d)", "25.621943", difference.degreesOfFreedom());
        Budget length = difference.plus(List.of(
                line("standard", 75.0 / 3.0, 18),
                new Contribution("expansion of the standard", 2e-6 / StrictMath.sqrt(3.0), 1e9, 0.0, false),
                new Contribution("difference of expansion", 1e-6 / StrictMath.sqrt(3.0), 50, dilatation, false),
                new Contribution(
                        "difference of temperature", 0.05 / StrictMath.sqrt(3.0), 2, -50.000623e6 * 11.5e-6, false)));
        Printed.assertPrinted("uc", "32", length.standardUncertainty());
        Printed.assertPrinted("uc", "31.658268", length.standardUncertainty());
        double variance = length.standardUncertainty() * length.standardUncertainty();
        Printed.assertPrinted("variance", "1002", variance);
        Printed.assertPrinted("variance", "1002.2460", variance);
        Printed.assertPrinted("effective degrees of freedom", "16.7", length.degreesOfFreedom());
        Printed.assertPrinted("effective degrees of freedom", "16.741366", length.degreesOfFreedom());
        // the GUM goes on with 16 degrees of freedom and rounds up
        double factor = Student.factor(0.99, StrictMath.floor(length.degreesOfFreedom()));
        Printed.assertPrinted("t99(16)", "2.92", factor);
        Printed.assertPrinted("U99", "92.466889", factor * length.standardUncertainty());
        Rounded rounded = Rounded.of(50_000_838.0, factor * length.standardUncertainty());
        assertEquals("50000838 ± 93", rounded.toString());
    }

    /** Validation: EA-4/02, supplement S2, 10 kg weight; milligrams, both editions' figures. */
    @Test
    void aWeightHasTheUncertaintyOfEa402() {
        Budget budget = new Budget(List.of(
                Contribution.of("reference standard", 45.0 / 2.0),
                Contribution.rectangular("drift", 15.0),
                Contribution.of("observed difference", 25.0 / StrictMath.sqrt(3.0)),
                Contribution.rectangular("comparator", 10.0),
                Contribution.rectangular("air buoyancy", 10.0)));
        double[] lines = budget.contributions().stream()
                .mapToDouble(Contribution::inResult)
                .toArray();
        String[] printed = {"22.500000", "8.660254", "14.433757", "5.773503", "5.773503"};
        for (int i = 0; i < lines.length; i++) {
            Printed.assertPrinted(budget.contributions().get(i).name(), printed[i], lines[i]);
        }
        Printed.assertPrinted("uc, 1999", "29.3", budget.standardUncertainty());
        Printed.assertPrinted("uc", "29.261750", budget.standardUncertainty());
        Printed.assertPrinted("U, 1999", "59", 2.0 * budget.standardUncertainty());
        // the edition of 2022 adds table values rounded to three figures, and doubles 29.2
        double fromRounded = StrictMath.sqrt(22.5 * 22.5 + 8.66 * 8.66 + 14.4 * 14.4 + 2 * 5.77 * 5.77);
        Printed.assertPrinted("uc, 2022", "29.2", fromRounded);
        Printed.assertPrinted("U, 2022", "58", 2.0 * 29.2);
    }

    private static Contribution line(String name, double uncertainty, double freedom) {
        return new Contribution(name, uncertainty, freedom, 1.0, false);
    }

    @ParameterizedTest
    @CsvSource({
        "12.3456, 0.1234, 12.35 ± 0.13",
        "0.5, 0.2, 0.50 ± 0.20",
        "-0.004, 0.13, 0.00 ± 0.13",
        "7.0449, 0.0996, 7.04 ± 0.10",
        "1234.5, 123, 1230 ± 130",
        "8.25, 9.94, 8 ± 10",
        "1.5, 0, 1.500000000 ± 0.000000000"
    })
    void valueAndUncertaintyArePrintedToTheSamePlace(double value, double expanded, String text) {
        assertEquals(text, Rounded.of(value, expanded).toString());
    }

    @Test
    void whatIsTheSameInBothLeavesADifference() {
        Budget budget = new Budget(
                List.of(line("spread", 3.0, 10), Contribution.of("probe", 4.0).asShared()));
        assertEquals(5.0, budget.standardUncertainty(), 1e-12);
        Budget difference = Budget.ofDifference(budget, budget);
        assertEquals(3.0 * StrictMath.sqrt(2.0), difference.standardUncertainty(), 1e-12);
        assertEquals(20.0, difference.degreesOfFreedom(), 1e-9);
        Budget other = new Budget(List.of(new Contribution("probe", 4.0, 50.0, 1.25, true)));
        assertEquals(
                StrictMath.hypot(3.0, 1.0), Budget.ofDifference(budget, other).standardUncertainty(), 1e-12);
    }

    @Test
    void anEmptyBudgetIsAnExactValue() {
        Budget exact = new Budget(List.of());
        assertEquals(0.0, exact.expanded(0.95));
        assertEquals(Double.POSITIVE_INFINITY, exact.degreesOfFreedom());
    }

    @Test
    void refusesWhatIsNoUncertainty() {
        assertThrows(IllegalArgumentException.class, () -> Contribution.of("probe", -0.1));
        assertThrows(IllegalArgumentException.class, () -> Contribution.of("probe", Double.NaN));
        assertThrows(IllegalArgumentException.class, () -> Contribution.of(" ", 0.1));
        assertThrows(IllegalArgumentException.class, () -> line("probe", 0.1, 0.0));
        assertThrows(IllegalArgumentException.class, () -> Student.factor(1.0, 5));
        assertThrows(IllegalArgumentException.class, () -> Rounded.of(Double.NaN, 0.1));
    }

    /** Two results of 10 and 11, U = 0.6 and 0.8: E = -1/sqrt(0.36 + 0.64). Worked by hand. */
    @Test
    void normalizedErrorDividesByBothUncertainties() {
        Budget a = new Budget(List.of(Contribution.of("own", 0.6 / Student.factor(0.95, Double.POSITIVE_INFINITY))));
        Budget b = new Budget(List.of(Contribution.of("own", 0.8 / Student.factor(0.95, Double.POSITIVE_INFINITY))));
        assertEquals(-1.0, NormalizedError.of(10.0, a, 11.0, b), 1e-9);
        List<Contribution> probe = List.of(Contribution.of("probe", 7.0).asShared());
        assertEquals(-1.0, NormalizedError.of(10.0, a.plus(probe), 11.0, b.plus(probe)), 1e-9);
    }

    /** For a known standard uncertainty: 1.960 + 0.842 of it are found in four of five cases. */
    @Test
    void theDetectableDifferenceIsThatOfThePower() {
        Budget known = new Budget(List.of(Contribution.of("own", 1.0)));
        assertEquals(2.80, known.detectable(known.coverageFactor(0.95), 0.8), 0.005);
    }
}
