package org.plateaubench.acoustics;

import java.util.Arrays;
import org.apache.commons.math3.linear.Array2DRowRealMatrix;
import org.apache.commons.math3.linear.CholeskyDecomposition;
import org.apache.commons.math3.linear.LUDecomposition;
import org.apache.commons.math3.linear.MatrixUtils;
import org.apache.commons.math3.linear.RealMatrix;

/**
 * Least squares of measured energies, by Gauss and Newton's method with Marquardt's damping. The measured values are the
 * own energies of some speeds and, last, the background energy, all over the mean background; they are correlated, since
 * the same listens to the background are in them.
 *
 * <p>The model of an own energy is {@code exp(alpha + beta x + gamma x²)}, x the logarithm of the speed over one that the
 * caller chooses; that of the background is a parameter of its own.
 */
final class EnergyFit {

    private static final int MOST_ITERATIONS = 60;
    private static final double CONVERGED = 1e-10;
    private static final double LARGEST_STEP = 2.0;
    private static final double LARGEST_EXPONENT = 50.0;
    private static final double FIRST_DAMPING = 1e-3;
    private static final double LEAST_DAMPING = 1e-9;
    private static final double LARGEST_DAMPING = 1e10;
    private static final double LEAST_DIAGONAL = 1e-100;

    /** What ties alpha to something else. */
    enum Tie {
        /** Nothing: alpha is fitted. */
        FREE,
        /** The own energy at x = 0 is given. */
        OWN_ENERGY,
        /** The own energy at x = 0 over the background is given. */
        OVER_BACKGROUND
    }

    private final double[] measured;
    private final double[][] whitening;

    /**
     * A fit of measured values.
     *
     * @param measured own energies and, last, the background energy
     * @param covariance of them, up to a common factor; positive definite
     */
    EnergyFit(double[] measured, double[][] covariance) {
        this.measured = measured;
        RealMatrix lower = new CholeskyDecomposition(new Array2DRowRealMatrix(covariance, false)).getL();
        whitening = MatrixUtils.inverse(lower).getData();
    }

    /** Where a fit ended. */
    record Result(double alpha, double beta, double gamma, double background, double squares, double[][] covariance) {

        /** Own energy at an x, over the mean background. */
        double ownEnergy(double x) {
            return StrictMath.exp(StrictMath.min(alpha + x * (beta + x * gamma), LARGEST_EXPONENT));
        }
    }

    /**
     * Fits.
     *
     * @param x of each own energy
     * @param curved whether gamma is fitted
     * @param tie what alpha is tied to
     * @param logTied logarithm of the given energy or ratio; not used where alpha is free
     * @param start where to start; its alpha and gamma are used only where they are fitted
     * @return where it ended, with the covariance of the fitted parameters in the order alpha, beta, gamma, background
     */
    Result fit(double[] x, boolean curved, Tie tie, double logTied, Result start) {
        double[] p = parameters(curved, tie, start);
        double[][] system = linearised(x, curved, tie, logTied, p);
        double damping = FIRST_DAMPING;
        for (int i = 0; i < MOST_ITERATIONS && damping < LARGEST_DAMPING; i++) {
            double[] next = p.clone();
            double[] step = step(system, p.length, damping);
            for (int k = 0; k < p.length; k++) {
                next[k] += StrictMath.max(-LARGEST_STEP, StrictMath.min(LARGEST_STEP, step[k]));
            }
            double[][] there = linearised(x, curved, tie, logTied, next);
            double gain = squares(system, p.length) - squares(there, p.length);
            if (gain > 0.0) {
                p = next;
                system = there;
                damping = StrictMath.max(damping / 10.0, LEAST_DAMPING);
                if (gain < CONVERGED * (1.0 + squares(there, p.length))) {
                    break;
                }
            } else {
                damping *= 10.0;
            }
        }
        double[] full = full(p, curved, tie, logTied);
        return new Result(
                full[0],
                full[1],
                full[2],
                full[3],
                squares(system, p.length),
                inverse(normal(system, p.length), LEAST_DAMPING));
    }

    private static double[] parameters(boolean curved, Tie tie, Result start) {
        double[] all = {start.alpha, start.beta, start.gamma, start.background};
        int[] fitted = fitted(curved, tie);
        return Arrays.stream(fitted).mapToDouble(k -> all[k]).toArray();
    }

    /** Places of the fitted ones among alpha, beta, gamma, background. */
    private static int[] fitted(boolean curved, Tie tie) {
        if (tie == Tie.FREE) {
            return curved ? new int[] {0, 1, 2, 3} : new int[] {0, 1, 3};
        }
        return curved ? new int[] {1, 2, 3} : new int[] {1, 3};
    }

    private static double[] full(double[] p, boolean curved, Tie tie, double logTied) {
        double[] full = new double[4];
        int[] fitted = fitted(curved, tie);
        for (int k = 0; k < p.length; k++) {
            full[fitted[k]] = p[k];
        }
        if (tie == Tie.OWN_ENERGY) {
            full[0] = logTied;
        } else if (tie == Tie.OVER_BACKGROUND) {
            full[0] = logTied + StrictMath.log(StrictMath.max(full[3], 1e-3));
        }
        return full;
    }

    /** Whitened rows, a measured value each: derivatives by the fitted parameters, then what is left of it. */
    private double[][] linearised(double[] x, boolean curved, Tie tie, double logTied, double[] p) {
        double[] full = full(p, curved, tie, logTied);
        Result here = new Result(full[0], full[1], full[2], full[3], 0.0, null);
        int[] fitted = fitted(curved, tie);
        int n = measured.length;
        double[][] rows = new double[n][p.length + 1];
        for (int i = 0; i < n; i++) {
            boolean own = i < n - 1;
            double value = own ? here.ownEnergy(x[i]) : full[3];
            double[] byAll = own
                    ? new double[] {
                        value, value * x[i], value * x[i] * x[i], tie == Tie.OVER_BACKGROUND ? value / full[3] : 0.0
                    }
                    : new double[] {0.0, 0.0, 0.0, 1.0};
            for (int k = 0; k < p.length; k++) {
                rows[i][k] = byAll[fitted[k]];
            }
            rows[i][p.length] = measured[i] - value;
        }
        double[][] white = new double[n][p.length + 1];
        for (int i = 0; i < n; i++) {
            for (int j = 0; j <= i; j++) {
                for (int k = 0; k <= p.length; k++) {
                    white[i][k] += whitening[i][j] * rows[j][k];
                }
            }
        }
        return white;
    }

    private static double squares(double[][] system, int parameters) {
        double sum = 0.0;
        for (double[] row : system) {
            sum += row[parameters] * row[parameters];
        }
        return sum;
    }

    private static double[][] normal(double[][] system, int parameters) {
        double[][] normal = new double[parameters][parameters];
        for (int a = 0; a < parameters; a++) {
            for (int b = 0; b < parameters; b++) {
                for (double[] row : system) {
                    normal[a][b] += row[a] * row[b];
                }
            }
        }
        return normal;
    }

    /**
     * Inverse of a matrix whose diagonal is damped. It is scaled to a diagonal of 1 first, since where hardly anything is
     * heard its parts differ by many orders; what the values say nothing about comes out as a large variance.
     */
    private static double[][] inverse(double[][] normal, double damping) {
        int n = normal.length;
        double[] scale = new double[n];
        for (int a = 0; a < n; a++) {
            scale[a] = StrictMath.sqrt(StrictMath.max(normal[a][a], LEAST_DIAGONAL));
        }
        double[][] scaled = new double[n][n];
        for (int a = 0; a < n; a++) {
            for (int b = 0; b < n; b++) {
                scaled[a][b] = normal[a][b] / scale[a] / scale[b];
            }
            scaled[a][a] = 1.0 + damping;
        }
        double[][] inverse = new LUDecomposition(new Array2DRowRealMatrix(scaled, false), 0.0)
                .getSolver()
                .getInverse()
                .getData();
        for (int a = 0; a < n; a++) {
            for (int b = 0; b < n; b++) {
                inverse[a][b] /= scale[a] * scale[b];
            }
        }
        return inverse;
    }

    private static double[] step(double[][] system, int parameters, double damping) {
        double[] gradient = new double[parameters];
        for (int a = 0; a < parameters; a++) {
            for (double[] row : system) {
                gradient[a] += row[a] * row[parameters];
            }
        }
        return new Array2DRowRealMatrix(inverse(normal(system, parameters), damping), false).operate(gradient);
    }
}
