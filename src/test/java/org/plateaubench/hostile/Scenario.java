package org.plateaubench.hostile;

import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.stream.Stream;
import org.plateaubench.bench.sim.Fault;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.Parsed;
import org.plateaubench.problem.ProblemCode;
import org.plateaubench.problem.SourceText;

/**
 * A night as it was drawn: its files, and what goes wrong in it.
 *
 * @param ticket draws it again
 * @param files plan, fans file and bench file, read and checked
 * @param mostSeconds so long at most may it take, s
 * @param drawn everything that was drawn, in order of time; a mishap's number is its place
 * @param mishaps what happens of it
 */
record Scenario(Ticket ticket, NightFiles files, double mostSeconds, List<Mishap> drawn, List<Mishap> mishaps) {

    private static final double TO_THE_END = 1e6;
    private static final double INSTANT = 0.001;
    private static final List<Fault.Kind> KINDS = Stream.of(Fault.Kind.values())
            .filter(kind -> kind != Fault.Kind.IGNORES_POWER)
            .toList();

    static Scenario draw(Ticket ticket) {
        DrawnBench bench = DrawnBench.draw(ticket.seed(), ticket);
        DrawnPlan plan = DrawnPlan.draw(ticket.seed(), ticket, bench);
        List<Mishap> drawn = mishaps(new Dice(ticket.seed(), "mishaps"), bench, plan.seconds());
        drawn.addAll(ofTheSupply(ticket.seed(), bench, plan.seconds()));
        List<Mishap> kept = new ArrayList<>();
        for (int i = 0; i < drawn.size(); i++) {
            if (ticket.keeps(i)) {
                kept.add(drawn.get(i));
            }
        }
        return new Scenario(
                ticket, files(plan.text(), bench), plan.mostSeconds(), List.copyOf(drawn), List.copyOf(kept));
    }

    /** A drawn plan is within the grammar, but its finish-by may come too early for a whole block. */
    private static NightFiles files(String plan, DrawnBench bench) {
        Parsed<NightFiles> parsed = read(plan, bench);
        if (parsed.problems().stream().anyMatch(p -> p.code() == ProblemCode.FINISH_TOO_EARLY)) {
            parsed = read(plan.replaceFirst("finish-by: .*\n", ""), bench);
        }
        Parsed<NightFiles> last = parsed;
        return parsed.value()
                .orElseThrow(() -> new IllegalStateException(
                        "the drawn files have problems: " + last.problems() + "\n" + plan + bench.text()));
    }

    private static Parsed<NightFiles> read(String plan, DrawnBench bench) {
        return NightFiles.read(
                text("plan.yaml", plan), text("fans.yaml", bench.fansText()), text("bench.yaml", bench.text()));
    }

    private static SourceText text(String name, String text) {
        return new SourceText(name, text.getBytes(StandardCharsets.UTF_8));
    }

    private static List<Mishap> mishaps(Dice dice, DrawnBench bench, double nightSeconds) {
        int count = dice.pick(0, 1, 1, 1, 2, 2, 3, 3, 4, 6, 10);
        List<Mishap> mishaps = new ArrayList<>();
        for (int i = 0; i < count; i++) {
            double at = StrictMath.rint(dice.between(0, 1.1 * nightSeconds) * 10) / 10;
            double lasts = dice.chance(0.1) ? TO_THE_END : StrictMath.rint(dice.magnitude(0.5, 600) * 10) / 10;
            mishap(mishaps, dice, bench, at, lasts);
        }
        mishaps.sort(Comparator.comparingDouble(Mishap::fromSeconds));
        return mishaps;
    }

    /** A supply that does not do as it is told, drawn apart from everything else. */
    private static List<Mishap> ofTheSupply(long seed, DrawnBench bench, double nightSeconds) {
        Dice dice = new Dice(seed, "supply");
        return bench.supply() && dice.chance(0.08)
                ? List.of(new Mishap(
                        Fault.Kind.IGNORES_POWER.name(),
                        "",
                        StrictMath.rint(dice.between(0, nightSeconds)),
                        dice.chance(0.3) ? TO_THE_END : StrictMath.rint(dice.magnitude(1, 300)),
                        0))
                : List.of();
    }

    private static void mishap(List<Mishap> to, Dice dice, DrawnBench bench, double at, double lasts) {
        String what = dice.chance(0.22)
                ? dice.pick(Mishap.OF_THE_HOST)
                : dice.pick(KINDS).name();
        String device = dice.chance(0.7) ? "controller" : dice.pick(bench.devices());
        String channel = dice.chance(0.4)
                ? dice.pick(bench.channels().stream()
                        .filter(c -> c.startsWith("coolant") || c.equals("ambient"))
                        .toList())
                : dice.pick(bench.channels());
        String fan = dice.pick(bench.fans());
        double sign = dice.pick(-1, 1);
        switch (what) {
            case Mishap.OPERATOR, Mishap.STORAGE -> to.add(new Mishap(what, "", at, INSTANT, 0));
            case Mishap.SIGNAL ->
                to.add(new Mishap(what, dice.pick("INT", "TERM", "HUP", "HUP", "shutdown"), at, INSTANT, 0));
            case Mishap.CLOCK_STEP ->
                to.add(new Mishap(
                        what, "", at, INSTANT, sign * dice.pick(0.5, 2.0, 60.0, 3600.0, dice.magnitude(0.2, 1e5))));
            case Mishap.STALL -> to.add(new Mishap(what, "", at, dice.magnitude(0.2, 120), 0));
            case Mishap.SLEEP -> to.add(new Mishap(what, "", at, dice.magnitude(2, 3000), 0));
            default -> fault(to, Fault.Kind.valueOf(what), dice, at, lasts, new Targets(device, channel, fan), sign);
        }
    }

    /** What a fault befalls, if it befalls one of these. */
    private record Targets(String device, String channel, String fan) {}

    private static void fault(
            List<Mishap> to, Fault.Kind kind, Dice dice, double at, double lasts, Targets targets, double sign) {
        String what = kind.name();
        double small = sign * dice.magnitude(0.1, 3);
        double large = sign * dice.magnitude(1, 40);
        switch (kind) {
            case SILENT, GARBAGE, TRUNCATED, STALE, LOST_CHARACTER, HANG_UP, RENAMED, WRONG_IDENTITY ->
                to.add(new Mishap(what, targets.device(), at, lasts, 0));
            case RESET_OUTPUTS -> {
                int times = dice.pick(1, 1, 1, 2, 4);
                for (int i = 0; i < times; i++) {
                    to.add(new Mishap(what, targets.device(), at + i * lasts, INSTANT, 0));
                }
            }
            case IGNORES_DUTY -> to.add(new Mishap(what, dice.pick("fan-duty", "pump-duty"), at, lasts, 0));
            case NO_NUMBER, POWER_ON_VALUE, LOST_PROBE, DECIMAL_COMMA, NO_POINT, NUL_BYTE, FROZEN ->
                to.add(new Mishap(what, targets.channel(), at, lasts, 0));
            case OFFSET -> to.add(new Mishap(what, targets.channel(), at, lasts, dice.chance(0.5) ? small : large));
            case DRIFT -> to.add(new Mishap(what, targets.channel(), at, lasts, large));
            case FACTOR -> to.add(new Mishap(what, targets.fan(), at, lasts, dice.pick(0.5, 2.0, 4.0, 1.1)));
            case FAN_STALL -> {
                to.add(new Mishap(what, targets.fan(), at, lasts, 0));
                if (dice.chance(0.3)) {
                    // A tachometer whose edges go on although the rotor stands.
                    to.add(new Mishap(Fault.Kind.FROZEN.name(), targets.fan(), Math.max(0, at - 1), lasts, 0));
                }
            }
            case PUMP_STOP -> {
                to.add(new Mishap(what, "", at, lasts, 0));
                if (dice.chance(0.2)) {
                    to.add(new Mishap(Fault.Kind.NO_NUMBER.name(), "pump", Math.max(0, at - 1), lasts, 0));
                }
            }
            case LEAK, HEAT_STAYS, HEAT_TRIPPED, IGNORES_POWER -> to.add(new Mishap(what, "", at, lasts, 0));
            case WORKLOAD_FAILS -> to.add(new Mishap(what, "", at, INSTANT, 0));
            case THROTTLED -> to.add(new Mishap(what, "", at, lasts, dice.pick(50.0, 80.0, 99.0)));
            case ROOM_STEP -> to.add(new Mishap(what, "", at, lasts, sign * dice.magnitude(0.5, 6)));
        }
    }

    /** The same night with nothing but the bench's own faults. */
    Scenario ofTheBench() {
        return new Scenario(
                ticket,
                files,
                mostSeconds,
                drawn,
                mishaps.stream().filter(m -> m.fault().isPresent()).toList());
    }

    /** The same night with more that went wrong. */
    Scenario with(List<Mishap> more) {
        List<Mishap> all = new ArrayList<>(mishaps);
        all.addAll(more);
        return new Scenario(ticket, files, mostSeconds, drawn, List.copyOf(all));
    }

    @Override
    public String toString() {
        StringBuilder text = new StringBuilder("night ").append(ticket);
        for (int i = 0; i < drawn.size(); i++) {
            text.append("\n  ")
                    .append(ticket.keeps(i) ? "" : "(left out) ")
                    .append(i)
                    .append(": ")
                    .append(drawn.get(i));
        }
        return text.toString();
    }
}
