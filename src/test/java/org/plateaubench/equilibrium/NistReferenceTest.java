package org.plateaubench.equilibrium;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.Locale;
import java.util.Optional;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/**
 * Validation against certified values of NIST's Statistical Reference Datasets. Each test prints how many digits are
 * right; linear certified values have 15 digits, nonlinear ones 11.
 */
class NistReferenceTest {

    private static final int LINEAR_DIGITS = 15;
    private static final int NONLINEAR_DIGITS = 11;

    @ParameterizedTest
    @CsvSource({"Norris, 11", "Pontius, 11", "Longley, 8", "Wampler1, 8", "Filip, 6"})
    void linearFits(String name, double needed) {
        StrdFile file = StrdFile.read(name);
        double[][] certified = file.parameters();
        double[][] data = file.data();
        double[][] rows = new double[data.length][certified.length];
        boolean polynomial = data[0].length == 2;
        for (int i = 0; i < data.length; i++) {
            rows[i][0] = 1.0;
            for (int j = 1; j < certified.length; j++) {
                rows[i][j] = polynomial ? rows[i][j - 1] * data[i][1] : data[i][j];
            }
        }
        LeastSquaresFit fit =
                LeastSquares.linear(rows, file.response(), ones(data.length)).orElseThrow();
        double digits = digits(fit, certified, LINEAR_DIGITS, 0);
        double errorDigits = digits(fit, certified, LINEAR_DIGITS, 1);
        System.out.printf(
                Locale.ROOT,
                "%-10s parameters %4.1f, standard errors %4.1f correct digits%n",
                name,
                digits,
                errorDigits);
        assertTrue(digits >= needed, "correct digits of the parameters: " + digits);
        assertTrue(errorDigits >= needed, "correct digits of the standard errors: " + errorDigits);
    }

    @ParameterizedTest
    @CsvSource({
        "Misra1a, 9",
        "Misra1b, 9",
        "Chwirut2, 9",
        "Lanczos3, 9",
        "BoxBOD, 9",
        "Thurber, 9",
        "MGH09, 9",
        "Eckerle4, 9"
    })
    void nonlinearFits(String name, double needed) {
        StrdFile file = StrdFile.read(name);
        double[][] parameters = file.parameters();
        double[][] data = file.data();
        for (int s = 0; s < 2; s++) {
            double[] start = new double[parameters.length];
            for (int j = 0; j < start.length; j++) {
                start[j] = parameters[j][s];
            }
            Optional<LeastSquaresFit> fit = LeastSquares.nonlinear(
                    (p, gradients) -> {
                        double[] predicted = new double[data.length];
                        for (int i = 0; i < data.length; i++) {
                            predicted[i] = predict(name, p, data[i][1], gradients[i]);
                        }
                        return predicted;
                    },
                    file.response(),
                    ones(data.length),
                    start);
            assertTrue(fit.isPresent(), "no fit from start " + (s + 1));
            double digits = digits(fit.get(), parameters, NONLINEAR_DIGITS, 2);
            double errorDigits = digits(fit.get(), parameters, NONLINEAR_DIGITS, 3);
            double sumDigits = StrdFile.correctDigits(
                    fit.get().residualSumOfSquares(), file.certified("Residual Sum of Squares:"), NONLINEAR_DIGITS);
            System.out.printf(
                    Locale.ROOT,
                    "%-10s start %d: parameters %4.1f, standard errors %4.1f, sum of squares %4.1f correct digits%n",
                    name,
                    s + 1,
                    digits,
                    errorDigits,
                    sumDigits);
            assertTrue(digits >= needed, "correct digits of the parameters: " + digits);
            assertTrue(errorDigits >= needed, "correct digits of the standard errors: " + errorDigits);
            assertEquals(data.length - start.length, fit.get().degreesOfFreedom());
            double deviation = fit.get().residualStandardDeviation();
            double certified = file.certified("Residual Standard Deviation:");
            assertTrue(StrdFile.correctDigits(deviation, certified, NONLINEAR_DIGITS) >= needed);
            assertTrue(sumDigits >= needed, "correct digits of the sum of squares: " + sumDigits);
        }
    }

    /** Needed: digits of the mean and of the standard deviation, by {@link Series} and by joining {@link Moments}. */
    @ParameterizedTest
    @CsvSource({
        "Michelso, 12, 12",
        "Mavro, 12, 12",
        "Lottery, 12, 12",
        "NumAcc1, 15, 15",
        "NumAcc2, 14, 14",
        "NumAcc3, 15, 9",
        "NumAcc4, 15, 8"
    })
    void univariate(String name, double neededOfMean, double neededOfDeviation) {
        StrdFile file = StrdFile.read(name);
        double[] y = file.response();
        Moments joined = Moments.of(0.0, 0.0, y[0]);
        for (int i = 1; i < y.length; i++) {
            joined = joined.then(Moments.of(1.0, i, y[i]));
        }
        double mean = digits(Series.mean(y), file, "Sample Mean");
        double deviation = digits(Series.standardDeviation(y), file, "Sample Standard Deviation");
        double correlation = digits(Series.lag1Autocorrelation(y), file, "Sample Autocorrelation");
        double joinedMean = digits(joined.mean(1), file, "Sample Mean");
        double joinedDeviation =
                digits(StrictMath.sqrt(joined.squaredDeviations() / (y.length - 1)), file, "Sample Standard Deviation");
        System.out.printf(
                Locale.ROOT,
                "%-10s mean %4.1f, deviation %4.1f, autocorrelation %4.1f; joined: mean %4.1f, deviation %4.1f"
                        + " correct digits%n",
                name,
                mean,
                deviation,
                correlation,
                joinedMean,
                joinedDeviation);
        assertTrue(mean >= neededOfMean, "correct digits of the mean: " + mean);
        assertTrue(deviation >= neededOfDeviation, "correct digits of the deviation: " + deviation);
        assertTrue(correlation >= neededOfDeviation, "correct digits of the autocorrelation: " + correlation);
        assertTrue(joinedMean >= neededOfMean, "joined, correct digits of the mean: " + joinedMean);
        assertTrue(joinedDeviation >= neededOfDeviation, "joined, of the deviation: " + joinedDeviation);
    }

    private static double digits(double found, StrdFile file, String label) {
        return StrdFile.correctDigits(found, file.certified(label), LINEAR_DIGITS);
    }

    private static double[] ones(int n) {
        double[] ones = new double[n];
        Arrays.fill(ones, 1.0);
        return ones;
    }

    private static double digits(LeastSquaresFit fit, double[][] certified, int most, int column) {
        double least = most;
        for (int j = 0; j < certified.length; j++) {
            double found = column % 2 == 0 ? fit.parameter(j) : fit.standardError(j);
            least = StrictMath.min(least, StrdFile.correctDigits(found, certified[j][column], most));
        }
        return least;
    }

    /** The models as the files state them. */
    private static double predict(String name, double[] b, double x, double[] g) {
        switch (name) {
            case "Misra1a", "BoxBOD" -> {
                double e = StrictMath.exp(-b[1] * x);
                g[0] = 1.0 - e;
                g[1] = b[0] * x * e;
                return b[0] * (1.0 - e);
            }
            case "Misra1b" -> {
                double base = 1.0 + b[1] * x / 2.0;
                g[0] = 1.0 - 1.0 / (base * base);
                g[1] = b[0] * x / (base * base * base);
                return b[0] * g[0];
            }
            case "Chwirut2" -> {
                double e = StrictMath.exp(-b[0] * x);
                double d = b[1] + b[2] * x;
                g[0] = -x * e / d;
                g[1] = -e / (d * d);
                g[2] = -x * e / (d * d);
                return e / d;
            }
            case "Lanczos3" -> {
                double sum = 0.0;
                for (int k = 0; k < 6; k += 2) {
                    double e = StrictMath.exp(-b[k + 1] * x);
                    g[k] = e;
                    g[k + 1] = -b[k] * x * e;
                    sum += b[k] * e;
                }
                return sum;
            }
            case "Thurber" -> {
                double n = b[0] + x * (b[1] + x * (b[2] + x * b[3]));
                double d = 1.0 + x * (b[4] + x * (b[5] + x * b[6]));
                double power = 1.0;
                for (int k = 0; k < 4; k++) {
                    g[k] = power / d;
                    power *= x;
                    if (k < 3) {
                        g[4 + k] = -n * power / (d * d);
                    }
                }
                return n / d;
            }
            case "MGH09" -> {
                double n = x * x + x * b[1];
                double d = x * x + x * b[2] + b[3];
                g[0] = n / d;
                g[1] = b[0] * x / d;
                g[2] = -b[0] * n * x / (d * d);
                g[3] = -b[0] * n / (d * d);
                return b[0] * n / d;
            }
            case "Eckerle4" -> {
                double z = (x - b[2]) / b[1];
                double e = StrictMath.exp(-0.5 * z * z);
                double f = b[0] / b[1] * e;
                g[0] = e / b[1];
                g[1] = f * (z * z - 1.0) / b[1];
                g[2] = f * z / b[1];
                return f;
            }
            default -> throw new IllegalArgumentException("no model is written down for " + name);
        }
    }
}
