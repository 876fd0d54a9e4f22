package org.plateaubench.uncertainty;

/**
 * The E number of two results of one quantity: they agree where its magnitude is at most 1 (ISO 13528, as the reference
 * manual of NIST's Dataplot states it under "ISO 13528 EN SCORE", with expanded uncertainties). The standard takes the two
 * results for independent; here what they have in common is left out.
 */
public final class NormalizedError {

    private static final double PROBABILITY = 0.95;

    private NormalizedError() {}

    /**
     * Whether two results agree.
     *
     * @param normalizedError their E number
     * @return true if its magnitude is at most 1
     */
    public static boolean agrees(double normalizedError) {
        return StrictMath.abs(normalizedError) <= 1.0;
    }

    /**
     * Works out {@code (x1 - x2)/U}, U being that of the difference at 95 %. What errs alike in both is not in it; for
     * results that have nothing in common U is {@code sqrt(U1² + U2²)}.
     *
     * @param first first result
     * @param firstBudget its budget
     * @param second second result, in the same unit
     * @param secondBudget its budget
     * @return E number; infinite or NaN where the difference has no uncertainty
     */
    public static double of(double first, Budget firstBudget, double second, Budget secondBudget) {
        return (first - second) / Budget.ofDifference(firstBudget, secondBudget).expanded(PROBABILITY);
    }
}
