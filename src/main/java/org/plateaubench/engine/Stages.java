package org.plateaubench.engine;

import java.util.OptionalDouble;
import org.plateaubench.equilibrium.Verdict;
import org.plateaubench.plan.Measurement;
import org.plateaubench.units.Decimals;

/** What the two stages that wait for a slope have in common. */
final class Stages {

    private Stages() {}

    static Decision verdict(Verdict verdict, boolean settled) {
        return Decision.of(settled ? "settled" : "not-settled")
                .with("slope", verdict.slopeKelvinPerHour(), 4)
                .with("margin", verdict.marginKelvinPerHour(), 4)
                .with("remaining-rise", verdict.remainingRiseKelvin(), 4);
    }

    static String waitsFor(Verdict verdict, Measurement.Settle settle, double elapsedSeconds, double atLeastSeconds) {
        if (!verdict.windowFull()) {
            return "filling the window of " + Decimals.shortest(settle.windowSeconds() / 60.0, 1) + " min";
        }
        String limit = Decimals.shortest(settle.slopeKelvinPerHour(), 3) + " K/h";
        if (Math.abs(verdict.slopeKelvinPerHour()) + verdict.marginKelvinPerHour() >= settle.slopeKelvinPerHour()) {
            return "slope " + Decimals.fixed(verdict.slopeKelvinPerHour(), 2) + " ± "
                    + Decimals.fixed(verdict.marginKelvinPerHour(), 2) + " K/h, limit " + limit;
        }
        if (verdict.heldSeconds() < settle.forSeconds()) {
            return "slope within " + limit + " for " + Decimals.fixed(verdict.heldSeconds(), 0) + " of "
                    + Decimals.shortest(settle.forSeconds(), 1) + " s";
        }
        return "at least " + Decimals.shortest(atLeastSeconds / 60.0, 1) + " min, "
                + Decimals.fixed(elapsedSeconds / 60.0, 1) + " min so far";
    }

    static OptionalDouble finite(double value) {
        return Double.isFinite(value) ? OptionalDouble.of(value) : OptionalDouble.empty();
    }
}
