package org.plateaubench.equilibrium;

/** A least-squares fit: parameters, their covariances and what is left over. */
public final class LeastSquaresFit {

    private final double[] parameters;
    private final double[][] inverse;
    private final double[] residuals;
    private final int degreesOfFreedom;
    private final double residualSumOfSquares;

    /** Takes the arrays as they are. */
    LeastSquaresFit(double[] parameters, double[][] inverse, double[] residuals, int degreesOfFreedom) {
        this.parameters = parameters;
        this.inverse = inverse;
        this.residuals = residuals;
        this.degreesOfFreedom = degreesOfFreedom;
        double sum = 0.0;
        for (double r : residuals) {
            sum += r * r;
        }
        this.residualSumOfSquares = sum;
    }

    /** {@return how many parameters} */
    public int parameters() {
        return parameters.length;
    }

    /**
     * One parameter.
     *
     * @param index which, from 0, in the order of the columns or of the start
     * @return its estimate
     */
    public double parameter(int index) {
        return parameters[index];
    }

    /**
     * Standard error of one parameter, for residuals that are independent of each other.
     *
     * @param index which, from 0
     * @return its standard error; NaN without degrees of freedom
     */
    public double standardError(int index) {
        return StrictMath.sqrt(covariance(index, index));
    }

    /**
     * Covariance of two parameters, for residuals that are independent of each other.
     *
     * @param first which, from 0
     * @param second which, from 0
     * @return their covariance; NaN without degrees of freedom
     */
    public double covariance(int first, int second) {
        return inverse[first][second] * residualSumOfSquares / degreesOfFreedom;
    }

    /** {@return sum of the weighted squared residuals} */
    public double residualSumOfSquares() {
        return residualSumOfSquares;
    }

    /** {@return standard deviation of an observation of weight 1; NaN without degrees of freedom} */
    public double residualStandardDeviation() {
        return StrictMath.sqrt(residualSumOfSquares / degreesOfFreedom);
    }

    /** {@return observations less parameters} */
    public int degreesOfFreedom() {
        return degreesOfFreedom;
    }

    /** {@return lag-1 autocorrelation of the weighted residuals in the order of the observations} */
    public double residualAutocorrelation() {
        return Series.lag1Autocorrelation(residuals);
    }

    /**
     * By how much correlated residuals enlarge the standard errors, as an autoregressive series of first order does:
     * the root of (1 + r)/(1 - r), with r the residuals' lag-1 autocorrelation between 0 and 0.95.
     *
     * @return factor, 1 or more
     */
    public double correlationFactor() {
        double r = StrictMath.min(0.95, StrictMath.max(0.0, residualAutocorrelation()));
        return Double.isNaN(r) ? 1.0 : StrictMath.sqrt((1.0 + r) / (1.0 - r));
    }
}
