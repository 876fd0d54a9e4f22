package org.plateaubench.plan;

import java.time.LocalTime;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import org.plateaubench.units.Decimals;

/** One of the three kinds of measurement of a plan. */
public sealed interface Measurement {

    /**
     * Duty against speed, start and stop duty, time constants.
     *
     * @param fromPercent lowest duty, per cent
     * @param toPercent highest duty, per cent
     * @param byPercent step of the duty, per cent
     * @param settleSeconds dwell at each duty, s
     * @param sweeps how many times up and down
     * @param starts how many times start duty and stop duty are sought
     */
    record Characterise(
            double fromPercent, double toPercent, double byPercent, double settleSeconds, int sweeps, int starts)
            implements Measurement {}

    /**
     * Sound level at each speed, between two listens to the background.
     *
     * @param speedsRpm speeds, rpm, in file order
     * @param listenSeconds how long each speed is listened to, s
     * @param backgroundListenSeconds how long the background is listened to before and after, s
     * @param backgroundDriftDb by how much the background may drift within a bracket, dB
     * @param gusts which parts of a listen do not count
     * @param notBefore local time before which it does not begin, if stated
     */
    record Acoustic(
            List<Double> speedsRpm,
            double listenSeconds,
            double backgroundListenSeconds,
            double backgroundDriftDb,
            Gusts gusts,
            Optional<LocalTime> notBefore)
            implements Measurement {
        /** Copies the list. */
        public Acoustic {
            speedsRpm = List.copyOf(speedsRpm);
        }
    }

    /**
     * The rule by which parts of a listen are left out, fixed beforehand: a block whose level lies above the median of
     * the listen's blocks by more than so much, and what is next to it.
     *
     * @param blockSeconds length of a block, s
     * @param aboveDb by how much a block may lie above the median, dB
     * @param guardSeconds how long before and after such a block nothing counts either, s
     * @param atMostPercent share of a listen that may be left out before the whole of it is, per cent
     */
    record Gusts(double blockSeconds, double aboveDb, double guardSeconds, double atMostPercent) {
        /** The rule of a plan that states none. */
        public static final Gusts USUAL = new Gusts(1, 2, 2, 50);
    }

    /**
     * Rise of the coolant over the ambient at each step.
     *
     * @param cooldown the way back to idle equilibrium
     * @param soak waiting under heat
     * @param dwellSeconds the averaged time after the soak, s
     * @param steps setpoints, in file order, at least one
     * @param repeats how often each step is measured, 1 or more
     * @param order order of the steps in the blocks
     * @param reference a step that is measured again and again to see drift, if wanted
     */
    record Thermal(
            Cooldown cooldown,
            Soak soak,
            double dwellSeconds,
            List<Step> steps,
            int repeats,
            Order order,
            Optional<Reference> reference)
            implements Measurement {
        /** Copies the list. */
        public Thermal {
            steps = List.copyOf(steps);
        }
    }

    /**
     * When a slope counts as flat.
     *
     * @param slopeKelvinPerHour limit of the slope, K/h
     * @param windowSeconds trailing window of the slope, s
     * @param forSeconds for how long it must hold, s
     * @param remainingRiseKelvin limit of the bound on the remaining rise, K, if stated
     */
    record Settle(
            double slopeKelvinPerHour, double windowSeconds, double forSeconds, OptionalDouble remainingRiseKelvin) {

        /** {@return the least time in which the rule can be met: window and hold, s} */
        public double shortestSeconds() {
            return windowSeconds + forSeconds;
        }
    }

    /**
     * The way back to idle equilibrium.
     *
     * @param each when it is done
     * @param dutyPercent fans' duty meanwhile, per cent
     * @param until when the rise counts as flat
     * @param withinBaselineKelvin how near the rise must be to the baseline, K
     * @param atLeastSeconds shortest time, s
     * @param atMostSeconds longest time, s
     */
    record Cooldown(
            Each each,
            double dutyPercent,
            Settle until,
            double withinBaselineKelvin,
            double atLeastSeconds,
            double atMostSeconds) {

        /** When a cooldown is done. */
        public enum Each {
            /** Before every pass. */
            PASS,
            /** Before every block. */
            BLOCK,
            /** Never: from step to step under heat. */
            NONE
        }
    }

    /**
     * Waiting under heat.
     *
     * @param until when the rise counts as flat
     * @param atLeastSeconds shortest time, s
     * @param atMostSeconds longest time, s; then the pass goes on, marked
     */
    record Soak(Settle until, double atLeastSeconds, double atMostSeconds) {}

    /** A setpoint. */
    sealed interface Step {

        /** {@return how it is written in plans, tables and journals, such as "700 rpm"} */
        String text();

        /**
         * Fans at a speed.
         *
         * @param rpm mean speed of the fans, rpm
         */
        record Speed(double rpm) implements Step {
            @Override
            public String text() {
                return Decimals.shortest(rpm, 1) + " rpm";
            }
        }

        /**
         * Fans at a duty.
         *
         * @param percent per cent
         */
        record Duty(double percent) implements Step {
            @Override
            public String text() {
                return Decimals.shortest(percent, 2) + " % duty";
            }
        }

        /**
         * Fans at the speed of a given own level.
         *
         * @param db the fans' own level, dB
         */
        record OwnLevel(double db) implements Step {
            @Override
            public String text() {
                return Decimals.shortest(db, 2) + " dB own level";
            }
        }

        /**
         * Fans at the speed of a given gap of the total level over the background.
         *
         * @param db the gap, dB
         */
        record AboveBackground(double db) implements Step {
            @Override
            public String text() {
                return Decimals.shortest(db, 2) + " dB above background";
            }
        }
    }

    /**
     * Order of the steps in the blocks.
     *
     * @param kind how they are ordered
     * @param seed seed of the shuffle
     */
    record Order(Kind kind, long seed) {
        /** How steps are ordered. */
        public enum Kind {
            /** In file order, in every block. */
            AS_WRITTEN,
            /** Shuffled anew for each block. */
            SHUFFLED,
            /** Shuffled once; every second block runs backwards. */
            BALANCED
        }
    }

    /**
     * A step that is measured again and again to see drift.
     *
     * @param step its setpoint
     * @param everyPasses after how many passes, 1 or more
     * @param driftKelvin by how much its rise may drift, K
     */
    record Reference(Step step, int everyPasses, double driftKelvin) {}
}
