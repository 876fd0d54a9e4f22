package org.plateaubench.equilibrium;

import java.util.Arrays;
import java.util.Optional;
import org.apache.commons.math3.exception.ConvergenceException;
import org.apache.commons.math3.exception.TooManyEvaluationsException;
import org.apache.commons.math3.exception.TooManyIterationsException;
import org.apache.commons.math3.fitting.leastsquares.LeastSquaresBuilder;
import org.apache.commons.math3.fitting.leastsquares.LevenbergMarquardtOptimizer;
import org.apache.commons.math3.fitting.leastsquares.MultivariateJacobianFunction;
import org.apache.commons.math3.linear.Array2DRowRealMatrix;
import org.apache.commons.math3.linear.ArrayRealVector;
import org.apache.commons.math3.linear.BlockRealMatrix;
import org.apache.commons.math3.linear.QRDecomposition;
import org.apache.commons.math3.linear.RealMatrix;
import org.apache.commons.math3.linear.RealVector;
import org.apache.commons.math3.util.Pair;

/**
 * Weighted least squares: linear by QR decomposition of scaled columns, nonlinear by Levenberg and Marquardt's method
 * (Moré 1978, in commons-math) finished by Gauss-Newton steps. Both answer "no fit" rather than a poor one.
 */
public final class LeastSquares {

    /**
     * An approach takes 5 to 30 evaluations, the longest way to a minimum among NIST's reference problems over 300; a search
     * that creeps along a flat valley takes thousands and finds none.
     */
    private static final int MOST_EVALUATIONS = 600;

    private static final int MOST_POLISHING_STEPS = 100;

    /** A last step below this share of the parameter, or of its standard error, ends in a minimum. */
    private static final double LAST_STEP = 1e-6;

    private static final double LAST_STEP_IN_STANDARD_ERRORS = 1e-3;

    /** A diagonal of R this small against columns of length one means that columns depend on each other. */
    private static final double SINGULAR = 1e-14;

    private LeastSquares() {}

    /** What is fitted. */
    @FunctionalInterface
    public interface Model {

        /**
         * Predicts all observations.
         *
         * @param parameters the parameters; not to be changed
         * @param gradients for each observation where the derivatives of its prediction by each parameter are put
         * @return the predictions
         */
        double[] predict(double[] parameters, double[][] gradients);
    }

    /**
     * Linear fit.
     *
     * @param rows regressors of each observation, a column of ones among them where there is a constant; all of one
     *     length, no more columns than rows
     * @param observed the observations
     * @param weights weights of the observations, each above 0
     * @return the fit; empty if the columns depend on each other
     * @throws IllegalArgumentException if the shapes do not match or there are fewer observations than columns
     */
    public static Optional<LeastSquaresFit> linear(double[][] rows, double[] observed, double[] weights) {
        int columns = rows.length == 0 ? 0 : rows[0].length;
        checkShapes(observed, weights, columns);
        return polish(
                new double[columns],
                (p, gradients) -> {
                    double[] predicted = new double[rows.length];
                    for (int i = 0; i < rows.length; i++) {
                        System.arraycopy(rows[i], 0, gradients[i], 0, columns);
                        for (int j = 0; j < columns; j++) {
                            predicted[i] = StrictMath.fma(rows[i][j], p[j], predicted[i]);
                        }
                    }
                    return predicted;
                },
                observed,
                weights);
    }

    /**
     * Nonlinear fit.
     *
     * @param model what is fitted
     * @param observed the observations
     * @param weights weights of the observations, each above 0
     * @param start where the search begins, one number a parameter; every number finite
     * @return the fit; empty if the search did not end in a minimum
     * @throws IllegalArgumentException if the shapes do not match or there are fewer observations than parameters
     */
    public static Optional<LeastSquaresFit> nonlinear(
            Model model, double[] observed, double[] weights, double[] start) {
        checkShapes(observed, weights, start.length);
        MultivariateJacobianFunction function = point -> {
            Linearised at = new Linearised(model, observed, weights, point.toArray());
            double[] predicted = new double[observed.length];
            for (int i = 0; i < predicted.length; i++) {
                predicted[i] = -at.residuals[i];
            }
            return new Pair<RealVector, RealMatrix>(
                    new ArrayRealVector(predicted, false), new BlockRealMatrix(at.jacobian));
        };
        try {
            double[] found = new LevenbergMarquardtOptimizer()
                    .withCostRelativeTolerance(1e-15)
                    .withParameterRelativeTolerance(1e-12)
                    .withOrthoTolerance(1e-14)
                    .optimize(new LeastSquaresBuilder()
                            .start(start)
                            .model(function)
                            .target(new double[observed.length])
                            .maxEvaluations(MOST_EVALUATIONS)
                            .maxIterations(MOST_EVALUATIONS)
                            .build())
                    .getPoint()
                    .toArray();
            return polish(found, model, observed, weights);
        } catch (ConvergenceException | TooManyEvaluationsException | TooManyIterationsException e) {
            return Optional.empty();
        }
    }

    /** Gauss-Newton steps from a point near the minimum, for as long as each is shorter than the one before. */
    private static Optional<LeastSquaresFit> polish(double[] start, Model model, double[] observed, double[] weights) {
        double[] parameters = start;
        double lastLength = Double.POSITIVE_INFINITY;
        for (int i = 0; ; i++) {
            Linearised at = new Linearised(model, observed, weights, parameters);
            Optional<Linearised.Solution> solution = at.solve();
            if (solution.isEmpty()) {
                return Optional.empty();
            }
            LeastSquaresFit fit = new LeastSquaresFit(
                    parameters, solution.get().inverse(), at.residuals, observed.length - parameters.length);
            double[] step = solution.get().step();
            double length = solution.get().scaledLength();
            if (!(length < lastLength) || length == 0.0 || i == MOST_POLISHING_STEPS) {
                return endsHere(fit, step) ? Optional.of(fit) : Optional.empty();
            }
            lastLength = length;
            parameters = parameters.clone();
            for (int j = 0; j < parameters.length; j++) {
                parameters[j] += step[j];
            }
        }
    }

    private static boolean endsHere(LeastSquaresFit fit, double[] step) {
        for (int j = 0; j < step.length; j++) {
            double allowed = StrictMath.max(
                    LAST_STEP * StrictMath.abs(fit.parameter(j)), LAST_STEP_IN_STANDARD_ERRORS * fit.standardError(j));
            if (!(StrictMath.abs(step[j]) <= allowed)) {
                return false;
            }
        }
        return true;
    }

    private static void checkShapes(double[] observed, double[] weights, int parameters) {
        if (weights.length != observed.length || parameters == 0 || observed.length < parameters) {
            throw new IllegalArgumentException("a fit needs a weight for each observation and no more parameters than"
                    + " observations, found " + observed.length + " observations, " + weights.length + " weights, "
                    + parameters + " parameters");
        }
    }

    /** A model at one point: weighted residuals and derivatives. */
    private static final class Linearised {

        private final double[] residuals;
        private final double[][] jacobian;

        Linearised(Model model, double[] observed, double[] weights, double[] parameters) {
            residuals = new double[observed.length];
            jacobian = new double[observed.length][parameters.length];
            double[] predicted = model.predict(parameters, jacobian);
            for (int i = 0; i < observed.length; i++) {
                double root = StrictMath.sqrt(weights[i]);
                residuals[i] = root * (observed[i] - predicted[i]);
                for (int j = 0; j < parameters.length; j++) {
                    jacobian[i][j] *= root;
                }
            }
        }

        /**
         * The linear problem's answer.
         *
         * @param step change of the parameters
         * @param scaledLength length of the step, each parameter scaled by its influence
         * @param inverse inverse of the normal matrix
         */
        record Solution(double[] step, double scaledLength, double[][] inverse) {}

        Optional<Solution> solve() {
            int n = residuals.length;
            int p = jacobian[0].length;
            double[] scale = new double[p];
            for (double[] row : jacobian) {
                for (int j = 0; j < p; j++) {
                    scale[j] += row[j] * row[j];
                }
            }
            double[][] scaled = new double[n][p];
            for (int j = 0; j < p; j++) {
                scale[j] = StrictMath.sqrt(scale[j]);
                for (int i = 0; i < n; i++) {
                    scaled[i][j] = jacobian[i][j] / scale[j];
                }
            }
            QRDecomposition qr = new QRDecomposition(new Array2DRowRealMatrix(scaled, false), SINGULAR);
            if (!qr.getSolver().isNonSingular() || !Arrays.stream(scale).allMatch(Double::isFinite)) {
                return Optional.empty();
            }
            double[] step =
                    qr.getSolver().solve(new ArrayRealVector(residuals, false)).toArray();
            double length = 0.0;
            double[][] r = qr.getR().getData();
            double[][] inverseOfR = new double[p][p];
            for (int j = 0; j < p; j++) {
                for (int i = j; i >= 0; i--) {
                    double sum = i == j ? 1.0 : 0.0;
                    for (int k = i + 1; k <= j; k++) {
                        sum -= r[i][k] * inverseOfR[k][j];
                    }
                    inverseOfR[i][j] = sum / r[i][i];
                }
            }
            double[][] inverse = new double[p][p];
            for (int i = 0; i < p; i++) {
                length += step[i] * step[i];
                step[i] /= scale[i];
                for (int j = 0; j < p; j++) {
                    double sum = 0.0;
                    for (int k = StrictMath.max(i, j); k < p; k++) {
                        sum += inverseOfR[i][k] * inverseOfR[j][k];
                    }
                    inverse[i][j] = sum / (scale[i] * scale[j]);
                }
            }
            return Optional.of(new Solution(step, StrictMath.sqrt(length), inverse));
        }
    }
}
