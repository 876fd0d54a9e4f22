package org.plateaubench.uncertainty;

/**
 * By how much one fan set differs from another at one step.
 *
 * @param set the fan set
 * @param against the set that it is compared with
 * @param step the setpoint, as it is written
 * @param kelvin rise of the set less rise of the other, K; negative where the set is cooler
 * @param budget what the difference is uncertain by; lines that are the same in both are not in it
 * @param nightsReplicated true if the spread between nights is in the budget; otherwise the difference is one of these
 *     nights only, and says nothing on other mounts or nights
 * @param nightSpreadKelvin standard deviation between nights beyond what the passes explain, K; NaN where no set has two
 *     nights
 * @param coverageFactor factor for all intervals of the comparison at once; NaN where no interval can be given
 * @param expandedKelvin half-width of the interval, K; NaN where no interval can be given
 * @param verdict what the interval allows to say
 */
public record Difference(
        String set,
        String against,
        String step,
        double kelvin,
        Budget budget,
        boolean nightsReplicated,
        double nightSpreadKelvin,
        double coverageFactor,
        double expandedKelvin,
        Verdict verdict) {

    /** {@return the verdict in words, such as "A is cooler than B by 0.52 ± 0.21 K"} */
    public String statement() {
        if (Double.isNaN(expandedKelvin)) {
            return set + " is not shown to differ from " + against + ": no step was repeated";
        }
        Rounded r = Rounded.of(verdict == Verdict.COOLER ? -kelvin : kelvin, expandedKelvin);
        return switch (verdict) {
            case COOLER -> set + " is cooler than " + against + " by " + r + " K";
            case WARMER -> set + " is warmer than " + against + " by " + r + " K";
            case EQUIVALENT -> set + " is equivalent to " + against + ", difference " + r + " K";
            case NOT_SHOWN_TO_DIFFER -> set + " is not shown to differ from " + against + ", difference " + r + " K";
        };
    }
}
