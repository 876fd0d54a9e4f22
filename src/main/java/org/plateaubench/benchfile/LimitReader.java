package org.plateaubench.benchfile;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.plateaubench.problem.Keys;
import org.plateaubench.problem.Need;
import org.plateaubench.problem.ProblemCode;
import org.plateaubench.problem.Problems;
import org.plateaubench.problem.Yaml;
import org.plateaubench.units.Dimension;
import org.plateaubench.units.Quantity;
import org.plateaubench.units.Unit;

/** Reads and checks the limits of a bench file, and those of a plan, which are written alike. */
public final class LimitReader {

    private static final Need LIMIT_FOR = Need.between("0 s", "10 min");

    private LimitReader() {}

    /**
     * Reads the limits of a bench file or a plan. Whether the channels exist is for the caller to check.
     *
     * @param keys the top of the file
     * @param ofBench true for a bench file, whose limits may stop the pump
     * @return the limits, one for each item in file order; what cannot be understood is a stand-in there
     */
    public static List<Limit> read(Keys keys, boolean ofBench) {
        String example = "{ channel: coolant, above: 55 °C, for: 3 s }";
        List<Yaml> items = ofBench ? keys.list("limits", "[" + example + "]") : keys.optionalList("limits", example);
        List<Limit> limits = new ArrayList<>();
        for (Yaml item : items) {
            limits.add(limit(keys.part(item, example), ofBench));
        }
        return limits;
    }

    private static Limit limit(Keys keys, boolean ofBench) {
        String channel = keys.text("channel", "coolant");
        Optional<String> side = keys.exactlyOne(List.of("above", "below"));
        Quantity threshold = side.flatMap(s -> keys.anyQuantity(s, "55 °C")).orElse(new Quantity(0, Unit.ONE));
        double forSeconds = keys.quantity("for", LIMIT_FOR);
        boolean pumpOff = ofBench
                && keys.optionalChoice("then", List.of("pump-off"), w -> w).isPresent();
        keys.done();
        Limit.Side wrongSide = side.orElse("above").equals("above") ? Limit.Side.ABOVE : Limit.Side.BELOW;
        return new Limit(channel, wrongSide, threshold, forSeconds, pumpOff);
    }

    /**
     * Checks the limits of a bench file or a plan against the bench's channels.
     *
     * @param limits the limits, in the order of the list "limits" of the file
     * @param bench the bench
     * @param root top of the file with the limits
     * @param problems problems of the file with the limits
     * @param benchProblems problems of the bench file: a channel in doubt is not judged by
     */
    public static void check(
            List<Limit> limits, BenchFile bench, Yaml root, Problems problems, Problems benchProblems) {
        List<String> channels = bench.channels().stream().map(ChannelSpec::name).toList();
        for (int i = 0; i < limits.size(); i++) {
            Limit limit = limits.get(i);
            Yaml node = root.at("limits", i);
            if (problems.within(node.path()) || benchProblems.within("channels." + limit.channel())) {
                continue;
            }
            Optional<ChannelSpec> channel = bench.channel(limit.channel());
            if (channel.isEmpty()) {
                problems.unknownName(
                        node.at("channel"),
                        ProblemCode.UNKNOWN_CHANNEL,
                        "the bench has no channel ",
                        limit.channel(),
                        channels);
                continue;
            }
            String side = limit.side() == Limit.Side.ABOVE ? "above" : "below";
            Dimension dimension = channel.get().unit().dimension();
            if (limit.threshold().unit().dimension() != dimension) {
                problems.conflict(
                        node.at(side),
                        ProblemCode.WRONG_DIMENSION,
                        "the channel " + limit.channel() + " is " + dimension.noun(),
                        dimension.noun() + ", such as " + dimension.example());
            } else if (outside(limit, channel.get())) {
                problems.conflict(
                        node.at(side),
                        ProblemCode.LIMIT_NEVER_REACHED,
                        "no valid reading of " + limit.channel() + " can pass this limit",
                        "a value inside its valid range, " + channel.get().validText());
            }
        }
    }

    private static boolean outside(Limit limit, ChannelSpec channel) {
        double toBase = channel.unit().toBase();
        return channel.valid().isPresent()
                && (limit.side() == Limit.Side.ABOVE
                        ? limit.threshold().inBase() >= channel.valid().get().high() * toBase
                        : limit.threshold().inBase() <= channel.valid().get().low() * toBase);
    }
}
