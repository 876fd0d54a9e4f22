package org.plateaubench.equilibrium;

/**
 * Means of a run of readings and sums of products about those means, from which a least-squares regression follows. A
 * reading has columns: the regressors, time first, and the measured value last. Two neighbouring runs add up without any
 * subtraction of large numbers (Chan, Golub and LeVeque, 1979), so nothing is lost however many are joined.
 */
final class Moments {

    /** Below this share of its own square a regressor says nothing that the ones before it have not said. */
    private static final double COLLINEAR = 1e-10;

    private final double count;
    private final double firstSeconds;
    private final double coveredSeconds;
    private final double[] means;
    private final double[] products; // upper triangle, row by row

    private Moments(double count, double firstSeconds, double coveredSeconds, double[] means, double[] products) {
        this.count = count;
        this.firstSeconds = firstSeconds;
        this.coveredSeconds = coveredSeconds;
        this.means = means;
        this.products = products;
    }

    /**
     * One reading.
     *
     * @param coveredSeconds how much time it stands for, s
     * @param columns its regressors, time in s first, and its value; kept, not copied
     */
    static Moments of(double coveredSeconds, double... columns) {
        return new Moments(
                1.0, columns[0], coveredSeconds, columns, new double[columns.length * (columns.length + 1) / 2]);
    }

    /**
     * Many readings at once, by two passes.
     *
     * @param weights for how many readings each counts, above 0
     * @param columns the regressors, time in s first, and the value, each with one number a reading
     */
    static Moments of(double[] weights, double[]... columns) {
        double count = 0.0;
        for (double w : weights) {
            count += w;
        }
        double[] means = new double[columns.length];
        for (int c = 0; c < columns.length; c++) {
            for (int i = 0; i < weights.length; i++) {
                means[c] += weights[i] * columns[c][i];
            }
            means[c] /= count;
        }
        double[] products = new double[columns.length * (columns.length + 1) / 2];
        int k = 0;
        for (int a = 0; a < columns.length; a++) {
            for (int b = a; b < columns.length; b++) {
                for (int i = 0; i < weights.length; i++) {
                    products[k] += weights[i] * (columns[a][i] - means[a]) * (columns[b][i] - means[b]);
                }
                k++;
            }
        }
        return new Moments(count, columns[0][0], 0.0, means, products);
    }

    /** This run followed by a later one. */
    Moments then(Moments later) {
        int columns = means.length;
        double n = count + later.count;
        double share = later.count / n;
        double weight = count * share;
        double[] joinedMeans = new double[columns];
        double[] joinedProducts = new double[products.length];
        int k = 0;
        for (int i = 0; i < columns; i++) {
            double di = later.means[i] - means[i];
            joinedMeans[i] = means[i] + share * di;
            for (int j = i; j < columns; j++) {
                joinedProducts[k] = products[k] + later.products[k] + weight * di * (later.means[j] - means[j]);
                k++;
            }
        }
        return new Moments(n, firstSeconds, coveredSeconds + later.coveredSeconds, joinedMeans, joinedProducts);
    }

    /** The same run as if every reading were its mean. */
    Moments collapsed() {
        return new Moments(count, firstSeconds, coveredSeconds, means, new double[products.length]);
    }

    /** How many readings, 1 or more. */
    double count() {
        return count;
    }

    /** Time of the first reading, s. */
    double firstSeconds() {
        return firstSeconds;
    }

    /** Time that the readings stand for, s. */
    double coveredSeconds() {
        return coveredSeconds;
    }

    /** Mean of a column. */
    double mean(int column) {
        return means[column];
    }

    /** Sum of squared deviations of the value about its mean. */
    double squaredDeviations() {
        return products[products.length - 1];
    }

    /** Least-squares regression of the value on the other columns and a constant. */
    Regression regression() {
        int p = means.length - 1;
        // Cholesky factor of the products of regressors, row by row, with the value as a further column
        double[][] factor = new double[p][p + 1];
        int k = 0;
        for (int i = 0; i < p; i++) {
            for (int j = i; j <= p; j++) {
                double sum = products[k++];
                double whole = sum;
                for (int m = 0; m < i; m++) {
                    sum -= factor[m][i] * factor[m][j];
                }
                if (j == i) {
                    factor[i][i] = sum > COLLINEAR * whole ? StrictMath.sqrt(sum) : Double.NaN;
                } else {
                    factor[i][j] = sum / factor[i][i];
                }
            }
        }
        double[] coefficients = new double[p];
        for (int i = p - 1; i >= 0; i--) {
            double sum = factor[i][p];
            for (int j = i + 1; j < p; j++) {
                sum -= factor[i][j] * coefficients[j];
            }
            coefficients[i] = sum / factor[i][i];
        }
        // first column of the inverse: variance of the time coefficient for unit variance of a reading
        double[] row = new double[p];
        double slopeVariance = 0.0;
        for (int i = 0; i < p; i++) {
            double sum = i == 0 ? 1.0 : 0.0;
            for (int m = 0; m < i; m++) {
                sum -= factor[m][i] * row[m];
            }
            row[i] = sum / factor[i][i];
            slopeVariance += row[i] * row[i];
        }
        double rest = squaredDeviations();
        for (int i = 0; i < p; i++) {
            rest -= factor[i][p] * factor[i][p];
        }
        return new Regression(this, coefficients, slopeVariance, StrictMath.max(0.0, rest));
    }

    /**
     * A regression through a run's means. NaN where the regressors cannot be told apart.
     *
     * @param through the run
     * @param coefficients one a regressor
     * @param slopeVariance variance of the first coefficient for unit variance of one reading
     * @param residualSumOfSquares what is left over
     */
    record Regression(Moments through, double[] coefficients, double slopeVariance, double residualSumOfSquares) {

        /** Coefficient of the first regressor: change of the value with time, per second. */
        double slope() {
            return coefficients[0];
        }

        /** Value where every regressor is 0. */
        double constant() {
            int p = coefficients.length;
            double constant = through.means[p];
            for (int i = 0; i < p; i++) {
                constant -= coefficients[i] * through.means[i];
            }
            return constant;
        }

        /** Value of a run's mean less the regression's. */
        double residual(Moments run) {
            int p = coefficients.length;
            double residual = run.means[p] - through.means[p];
            for (int i = 0; i < p; i++) {
                residual -= coefficients[i] * (run.means[i] - through.means[i]);
            }
            return residual;
        }
    }
}
