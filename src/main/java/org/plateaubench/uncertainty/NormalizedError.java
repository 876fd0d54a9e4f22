package org.plateaubench.uncertainty;

/** The E number of two results of one quantity (ISO/IEC 17043): they agree where its magnitude is at most 1. */
public final class NormalizedError {

    private static final double PROBABILITY = 0.95;

    private NormalizedError() {}

    /**
     * Works out {@code (x1 - x2)/sqrt(U1² + U2²)}, U at 95 %, without what is the same in both.
     *
     * @param first first result
     * @param firstBudget its budget; lines marked as cancelling are left out
     * @param second second result, in the same unit
     * @param secondBudget its budget; lines marked as cancelling are left out
     * @return E number; infinite or NaN where neither result has any uncertainty of its own
     */
    public static double of(double first, Budget firstBudget, double second, Budget secondBudget) {
        double u1 = firstBudget.withoutCancelling().expanded(PROBABILITY);
        double u2 = secondBudget.withoutCancelling().expanded(PROBABILITY);
        return (first - second) / StrictMath.sqrt(u1 * u1 + u2 * u2);
    }
}
