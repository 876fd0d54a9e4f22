package org.plateaubench.plan;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalInt;
import java.util.regex.Pattern;
import org.plateaubench.problem.Document;
import org.plateaubench.problem.Draft;
import org.plateaubench.problem.Keys;
import org.plateaubench.problem.Need;
import org.plateaubench.problem.Parsed;
import org.plateaubench.problem.SourceText;
import org.plateaubench.problem.Yaml;
import org.plateaubench.units.Unit;

/** Reads a fans file and checks it by itself. */
public final class FansFileReader {

    private static final Pattern ONE_OF = Pattern.compile("one-of ([2-9]|1[0-9])");
    private static final Need RUN_IN = Need.between("0 h", "100000 h");
    private static final Need RATED_SPEED = Need.between("100 rpm", "10000 rpm");
    private static final int MOST_MOUNTS = 10_000;

    private FansFileReader() {}

    /**
     * Reads a fans file.
     *
     * @param source its text
     * @return which set is mounted, or all problems
     */
    public static Parsed<FansFile> read(SourceText source) {
        return draft(source).parsed();
    }

    static Draft<FansFile> draft(SourceText source) {
        Document document = Document.of(source);
        return new Draft<>(document, document.root().map(root -> fans(Keys.of(root, document.problems(), "set: A"))));
    }

    private static FansFile fans(Keys keys) {
        String set = keys.text("set", "A");
        List<String> specimens = new ArrayList<>();
        for (Yaml item : keys.list("specimens", "[A-1, A-2, A-3]")) {
            specimens.add(keys.textOf(item));
        }
        FansFile fans = new FansFile(
                set,
                specimens,
                keys.optionalText("description"),
                keys.optionalText("setting"),
                keys.keys("mount", "{ number: 1, side: push }")
                        .map(FansFileReader::mount)
                        .orElse(new FansFile.Mount(1, Optional.empty(), Optional.empty())),
                inHours(keys.optionalQuantity("run-in", RUN_IN)),
                keys.optionalQuantity("rated-speed", RATED_SPEED),
                keys.optionalKeys("tachometers", "{ fans: one-of 3 }")
                        .map(FansFileReader::sharedTachometer)
                        .orElse(OptionalInt.empty()));
        keys.done();
        return fans;
    }

    private static OptionalDouble inHours(OptionalDouble seconds) {
        return seconds.isEmpty() ? seconds : OptionalDouble.of(seconds.getAsDouble() / Unit.HOUR.toBase());
    }

    private static FansFile.Mount mount(Keys keys) {
        FansFile.Mount mount = new FansFile.Mount(
                keys.count("number", 1, MOST_MOUNTS),
                keys.optionalChoice("side", List.of("push", "pull", "push-pull"), w -> w),
                keys.optionalText("screws"));
        keys.done();
        return mount;
    }

    private static OptionalInt sharedTachometer(Keys keys) {
        keys.required("fans", "one-of 3");
        OptionalInt fans = keys.matched("fans", ONE_OF, "one-of 3")
                .map(m -> OptionalInt.of(Integer.parseInt(m.group(1))))
                .orElse(OptionalInt.empty());
        keys.done();
        return fans;
    }
}
