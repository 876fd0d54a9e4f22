package org.plateaubench.bench.check;

import static org.plateaubench.bench.check.Check.fix;
import static org.plateaubench.bench.check.Check.note;
import static org.plateaubench.bench.check.Check.ok;

import java.util.function.Consumer;
import org.plateaubench.bench.check.Ticks.LimitReached;
import org.plateaubench.units.Decimals;

/**
 * Falls silent on purpose, for longer and for shorter, and so finds between which two lengths of silence a cut-off acts.
 * Asking whether it acted ends the silence, so one silence tells no more than that.
 */
final class CutoffCheck {

    private static final double MARGIN_SECONDS = 2.0;
    private static final double MARGIN = 0.1;
    private static final double SHORTEST_SECONDS = 2.0;
    /** A tick that came late once must not trip it. */
    private static final double TOO_SOON_SECONDS = 3.0;
    /** Longer ones are tried twice only, so that a check ends. */
    private static final double LONG_SECONDS = 30.0;

    private static final int ROUNDS = 3;

    private final Ticks ticks;
    private final Consumer<String> progress;

    CutoffCheck(Ticks ticks, Consumer<String> progress) {
        this.ticks = ticks;
        this.progress = progress;
    }

    /** Something that acts by itself when its device hears nothing. */
    interface Cutoff {
        /** {@return what it is, for the table} */
        String subject();

        /** {@return after how long without a request it acts by the bench file, s} */
        double declaredSeconds();

        /**
         * Brings the bench to where its action can be seen.
         *
         * @return why that failed; empty if it did not
         */
        String arm() throws LimitReached;

        /** {@return true if it acted during the silence that this call ends} */
        boolean acted() throws LimitReached;

        /**
         * After it acted: makes sure that what should follow did follow.
         *
         * @return what was seen, one line
         * @throws NotSeen if it did not follow
         */
        String confirm() throws LimitReached, NotSeen;
    }

    /** What should follow a cut-off did not. */
    static final class NotSeen extends Exception {
        private static final long serialVersionUID = 1L;

        NotSeen(String message) {
            super(message);
        }
    }

    Check check(Cutoff cutoff) throws LimitReached {
        double declared = cutoff.declaredSeconds();
        double high = declared + Math.max(MARGIN_SECONDS, MARGIN * declared);
        double low = 0.0;
        String failure = cutoff.arm();
        if (!failure.isEmpty()) {
            return fix(cutoff.subject(), "could not be tried: " + failure, "first what stands above");
        }
        if (!actsWithin(cutoff, high)) {
            return fix(
                    cutoff.subject(),
                    "did nothing within " + Decimals.fixed(high, 1) + " s of silence; declared are "
                            + Decimals.shortest(declared, 1) + " s",
                    "a night that nobody watches is not safe: set the device's own watchdog, or take the cut-off out of"
                            + " the bench file");
        }
        String seen;
        try {
            seen = cutoff.confirm();
        } catch (NotSeen e) {
            return fix(cutoff.subject(), e.getMessage(), "see to wiring and supply: the device says more than it does");
        }
        int rounds = declared > LONG_SECONDS ? 1 : ROUNDS;
        for (int i = 0; i < rounds; i++) {
            double middle = Math.max(SHORTEST_SECONDS, (low + high) / 2);
            if (middle >= high || !cutoff.arm().isEmpty()) {
                break;
            }
            if (actsWithin(cutoff, middle)) {
                high = middle;
            } else {
                low = middle;
            }
        }
        String found = "acts after " + Decimals.fixed(low, 1) + " to " + Decimals.fixed(high, 1)
                + " s of silence, declared " + Decimals.shortest(declared, 1) + " s; " + seen;
        if (high < TOO_SOON_SECONDS) {
            return fix(cutoff.subject(), found, "too soon: one late tick would trip it; 10 s is a good time");
        }
        boolean early = high < (1 - MARGIN) * declared;
        return early
                ? note(cutoff.subject(), found, "earlier than declared: state the time that it takes")
                : ok(cutoff.subject(), found);
    }

    private boolean actsWithin(Cutoff cutoff, double seconds) throws LimitReached {
        progress.accept(cutoff.subject() + ": silent for " + Decimals.fixed(seconds, 1) + " s");
        ticks.fallSilent(seconds);
        return cutoff.acted();
    }
}
