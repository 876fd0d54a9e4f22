package org.plateaubench.benchfile;

/** What a plan asks of the bench's heat loads. */
public sealed interface HeatDemand {

    /** {@return how it is written in messages and journals, such as "workload compile"} */
    String text();

    /**
     * A workload of the bench file, run in succession while heat is wanted.
     *
     * @param workload its name
     * @param atLeastRuns complete runs that a pass must hold; 0 if it does not matter
     */
    record Workload(String workload, int atLeastRuns) implements HeatDemand {
        @Override
        public String text() {
            return "workload " + workload;
        }
    }

    /**
     * The supply at a set power.
     *
     * @param watts W
     */
    record Power(double watts) implements HeatDemand {
        @Override
        public String text() {
            return "supply at " + org.plateaubench.units.Decimals.shortest(watts, 2) + " W";
        }
    }

    /**
     * Threads that keep the computer's processors busy.
     *
     * @param percent share of the processor, per cent
     */
    record Processor(double percent) implements HeatDemand {
        @Override
        public String text() {
            return "processor at " + org.plateaubench.units.Decimals.shortest(percent, 2) + " %";
        }
    }
}
