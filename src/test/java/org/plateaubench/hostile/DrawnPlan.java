package org.plateaubench.hostile;

import java.util.ArrayList;
import java.util.List;
import org.plateaubench.hostile.Ticket.Cut;

/**
 * A drawn plan within the grammar, short enough that many nights fit into minutes.
 *
 * @param text the plan
 * @param seconds about how long the night takes if nothing goes wrong, s
 * @param mostSeconds so long at most may it take whatever happens, s: every stage to its limit, every pass three times
 */
record DrawnPlan(String text, double seconds, double mostSeconds) {

    private static final double CHARACTERISE_SECONDS = 900;
    private static final double ACOUSTIC_SECONDS = 600;
    private static final double MOST_PUMP_LOCKS_SECONDS = 4 * 600;

    static DrawnPlan draw(long seed, Ticket ticket, DrawnBench bench) {
        Dice dice = new Dice(seed, "plan");
        double every = dice.pick(0.5, 1.0, 1.0, 1.0, 2.0, 2.0, 5.0);
        StringBuilder t = new StringBuilder("title: Hostile night\npurpose: What survives?\nsample-every: ");
        t.append(Dice.text(every)).append(" s\n");
        boolean finish = dice.chance(0.1);
        String finishBy = dice.pick("23:10", "23:50", "00:40", "02:00");
        if (finish) {
            t.append("finish-by: ").append(finishBy).append('\n');
        }
        double tolerance = dice.between(1.5, 5);
        t.append("pump-lock: { speed: ")
                .append(Dice.text(bench.pumpRpm()))
                .append(" rpm, within: ")
                .append(Dice.text(tolerance))
                .append(" %, for: ")
                .append(dice.whole(2, 10))
                .append(" s }\n");

        double window = StrictMath.rint(60 * every * dice.between(1, 1.5));
        double hold = dice.whole(2, 20);
        double soakMost = Math.max(60, window + hold + StrictMath.rint(dice.between(0, 500)));
        double coolMost = Math.max(60, window + hold + StrictMath.rint(dice.between(0, 300)));
        double dwell = StrictMath.rint(60 * every * dice.between(1, 2));
        heat(t, dice, bench, soakMost + dwell);
        conditions(t, dice, bench, ticket);

        boolean characterise = dice.chance(0.1);
        int starts = dice.whole(1, 2);
        t.append("measurements:\n");
        if (characterise && !ticket.cuts().contains(Cut.NO_CHARACTERISE)) {
            t.append("  - characterise: { from: 0 %, to: 100 %, by: 20 %, settle: ")
                    .append(Dice.text(Math.max(5, 3 * every)))
                    .append(" s, sweeps: 1, starts: ")
                    .append(starts)
                    .append(" }\n");
        }
        Dice sound = new Dice(seed, "acoustic");
        boolean acoustic = bench.meter()
                && every <= 1
                && sound.chance(0.3)
                && !ticket.cuts().contains(Cut.NO_ACOUSTIC);
        if (acoustic) {
            t.append("  - acoustic:\n      speeds: [800 rpm, 1100 rpm, 1400 rpm, 1700 rpm]\n      listen: ")
                    .append(sound.whole(20, 40))
                    .append(" s\n      background: { listen: 20 s, drift: ")
                    .append(sound.pick("0.5 dB", "1 dB", "3 dB"))
                    .append(" }\n");
        }
        String each = dice.pick("pass", "block", "block", "none");
        t.append("  - thermal:\n      cooldown: { each: ").append(each);
        t.append(", duty: ").append(dice.whole(40, 100)).append(" %, until: ");
        t.append(settle(dice, window, hold, false)).append(", within-baseline: ");
        t.append(dice.pick("0.5 K", "2 K", "10 K"))
                .append(", at-least: 30 s, at-most: ")
                .append(Dice.text(coolMost))
                .append(" s }\n");
        t.append("      soak: { until: ").append(settle(dice, window, hold, true));
        t.append(", at-least: ")
                .append(dice.whole(30, 60))
                .append(" s, at-most: ")
                .append(Dice.text(soakMost))
                .append(" s }\n");
        t.append("      dwell: { average: ").append(Dice.text(dwell)).append(" s }\n      steps:\n");
        List<String> steps = steps(dice);
        if (ticket.cuts().contains(Cut.ONE_STEP)) {
            steps = steps.subList(0, 1);
        } else if (acoustic && sound.chance(0.7)) {
            steps.add(sound.pick("{ own-level: 26 dB }", "{ own-level: 30 dB }", "{ above-background: 3 dB }"));
        }
        steps.forEach(step -> t.append("        - ").append(step).append('\n'));
        int repeats = dice.pick(1, 1, 2, 3);
        if (ticket.cuts().contains(Cut.ONE_REPEAT)) {
            repeats = 1;
        }
        t.append("      repeats: ").append(repeats).append("\n      order: { kind: ");
        t.append(dice.pick("as-written", "shuffled", "balanced")).append(", seed: ");
        t.append(dice.whole(1, 99)).append(" }\n");
        boolean reference = dice.chance(0.2);
        int passes = steps.size() * repeats;
        int referenceEvery = dice.whole(1, passes);
        String drift = dice.pick("0.2 K", "0.5 K", "3 K");
        if (reference && !ticket.cuts().contains(Cut.NO_REFERENCE)) {
            t.append("      reference: { step: { speed: 1300 rpm }, every: ").append(referenceEvery);
            t.append(" passes, drift: ").append(drift).append(" }\n");
            passes += 2 + passes / referenceEvery;
        }
        if (dice.chance(0.5)) {
            String coolant = bench.channels().contains("coolant") ? "coolant" : "coolant-in";
            t.append("limits:\n  - { channel: ").append(coolant).append(", above: ");
            t.append(dice.whole(30, 50))
                    .append(" °C, for: ")
                    .append(dice.whole(1, 5))
                    .append(" s }\n");
        }
        double cooldowns = each.equals("pass") ? passes : each.equals("block") ? repeats : 0;
        double fans = characterise && !ticket.cuts().contains(Cut.NO_CHARACTERISE) ? CHARACTERISE_SECONDS : 0;
        double listens = acoustic ? ACOUSTIC_SECONDS : 0;
        double usual = 60
                + fans
                + listens
                + (2 + cooldowns) * (window + hold + 60)
                + passes * (60 + window + hold + 60 + dwell);
        double most = MOST_PUMP_LOCKS_SECONDS
                + 3 * fans * 2
                + 3 * listens * 2
                + 2 * (coolMost + 200)
                + 3 * passes * (coolMost + 300 + soakMost + dwell)
                + 3600;
        return new DrawnPlan(t.toString(), usual, most);
    }

    private static void heat(StringBuilder t, Dice dice, DrawnBench bench, double loadedSeconds) {
        int runs = dice.whole(0, 2);
        double watts = StrictMath.rint(dice.magnitude(60, 500));
        int percent = dice.whole(40, 100);
        List<String> choices = new ArrayList<>();
        if (bench.supply()) {
            choices.add("{ power: " + Dice.text(watts) + " W }");
        }
        if (bench.computer()) {
            boolean fit = runs > 0 && runs * bench.runSeconds() < loadedSeconds / 2;
            choices.add("{ workload: compile" + (fit ? ", at-least-runs: " + runs : "") + " }");
            choices.add("{ processor: " + percent + " % }");
        }
        t.append("heat: ").append(dice.pick(choices)).append('\n');
    }

    private static void conditions(StringBuilder t, Dice dice, DrawnBench bench, Ticket ticket) {
        List<String> conditions = new ArrayList<>();
        if (bench.channels().contains("cpu-clock") && dice.chance(0.3)) {
            conditions.add("  - { channel: cpu-clock, at: 4300 MHz, within: 2 % }\n");
        }
        if (bench.channels().contains("throttle-count") && dice.chance(0.3)) {
            conditions.add("  - { channel: throttle-count, unchanged: true }\n");
        }
        if (!conditions.isEmpty() && !ticket.cuts().contains(Cut.NO_CONDITIONS)) {
            t.append("conditions:\n");
            conditions.forEach(t::append);
        }
    }

    private static String settle(Dice dice, double window, double hold, boolean underHeat) {
        String slope = dice.pick("60", "60", "30", "10", "3");
        boolean remaining = dice.chance(0.3);
        String rise = dice.pick("0.5 K", "2 K", "10 K");
        return "{ slope: " + slope + " K/h, window: " + Dice.text(window) + " s, for: " + Dice.text(hold) + " s"
                + (underHeat && remaining ? ", remaining-rise: " + rise : "") + " }";
    }

    private static List<String> steps(Dice dice) {
        List<String> steps = new ArrayList<>();
        int count = dice.pick(1, 2, 2, 3);
        for (int i = 0; i < count; i++) {
            double rpm = 100 * dice.whole(5 + 5 * i, 9 + 5 * i);
            int duty = dice.whole(20 + 25 * i, 44 + 25 * i);
            steps.add(
                    dice.chance(0.75)
                            ? "{ speed: " + Dice.text(Math.min(rpm, 1800)) + " rpm }"
                            : "{ duty: " + duty + " % }");
        }
        return steps;
    }
}
