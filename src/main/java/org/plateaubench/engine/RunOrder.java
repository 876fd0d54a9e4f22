package org.plateaubench.engine;

import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import org.plateaubench.plan.Measurement;
import org.plateaubench.plan.Measurement.Order;
import org.plateaubench.plan.Measurement.Step;

/** The order in which the steps of a thermal measurement are done: blocks, each holding every step once. */
public final class RunOrder {

    private RunOrder() {}

    /**
     * Orders the steps.
     *
     * @param thermal the measurement
     * @return for each repeat the steps in the order of execution, without reference passes
     */
    public static List<List<Step>> steps(Measurement.Thermal thermal) {
        List<List<Step>> blocks = new ArrayList<>();
        Order order = thermal.order();
        List<Step> forwards = new ArrayList<>(thermal.steps());
        if (order.kind() == Order.Kind.BALANCED) {
            shuffle(forwards, order.seed());
        }
        for (int repeat = 0; repeat < thermal.repeats(); repeat++) {
            List<Step> block = new ArrayList<>(forwards);
            switch (order.kind()) {
                case SHUFFLED -> shuffle(block, order.seed() + 0x632BE59BD9B4E019L * (repeat + 1));
                case BALANCED -> {
                    if (repeat % 2 == 1) {
                        Collections.reverse(block);
                    }
                }
                case AS_WRITTEN -> {}
            }
            blocks.add(List.copyOf(block));
        }
        return List.copyOf(blocks);
    }

    /**
     * All passes of a thermal measurement, reference passes among them: one first, one after so many passes, one last.
     *
     * @param thermal the measurement
     * @return for each block its passes in the order of execution
     */
    static List<List<ThermalPass>> passes(Measurement.Thermal thermal) {
        List<List<ThermalPass>> blocks = new ArrayList<>();
        List<List<Step>> ordered = steps(thermal);
        int sinceReference = 0;
        for (int b = 0; b < ordered.size(); b++) {
            List<ThermalPass> block = new ArrayList<>();
            int place = 1;
            if (b == 0 && thermal.reference().isPresent()) {
                block.add(
                        new ThermalPass(1, place++, 1, thermal.reference().get().step(), true));
            }
            for (int s = 0; s < ordered.get(b).size(); s++) {
                block.add(new ThermalPass(b + 1, place++, 1, ordered.get(b).get(s), false));
                sinceReference++;
                boolean last = b == ordered.size() - 1 && s == ordered.get(b).size() - 1;
                if (thermal.reference().isPresent()
                        && (last || sinceReference == thermal.reference().get().everyPasses())) {
                    block.add(new ThermalPass(
                            b + 1, place++, 1, thermal.reference().get().step(), true));
                    sinceReference = 0;
                }
            }
            blocks.add(block);
        }
        return blocks;
    }

    /** Fisher and Yates's shuffle, driven by the SplitMix64 generator (Steele, Lea and Flood 2014), from memory. */
    private static void shuffle(List<Step> steps, long seed) {
        long state = seed;
        for (int i = steps.size() - 1; i > 0; i--) {
            state += 0x9E3779B97F4A7C15L;
            long z = state;
            z = (z ^ (z >>> 30)) * 0xBF58476D1CE4E5B9L;
            z = (z ^ (z >>> 27)) * 0x94D049BB133111EBL;
            z ^= z >>> 31;
            Collections.swap(steps, i, (int) Long.remainderUnsigned(z, i + 1));
        }
    }
}
