package org.plateaubench.report;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.function.ToDoubleFunction;
import java.util.stream.DoubleStream;
import java.util.stream.Stream;
import org.plateaubench.plan.FansFile;
import org.plateaubench.report.chart.Axis;
import org.plateaubench.report.chart.Chart;
import org.plateaubench.report.chart.Series;
import org.plateaubench.report.chart.Ticks;
import org.plateaubench.results.ComparedNight;
import org.plateaubench.results.ComparisonFiles;
import org.plateaubench.results.LevelComparison;
import org.plateaubench.results.NightComparison;
import org.plateaubench.results.NightComparison.BenchAgreement;
import org.plateaubench.results.NightComparison.NightAgreement;
import org.plateaubench.results.NightComparison.OnBench;
import org.plateaubench.results.NightFinding;
import org.plateaubench.results.StepResult;
import org.plateaubench.uncertainty.Contribution;
import org.plateaubench.uncertainty.Difference;
import org.plateaubench.uncertainty.NormalizedError;
import org.plateaubench.uncertainty.PassRise;
import org.plateaubench.uncertainty.Rounded;
import org.plateaubench.uncertainty.Verdict;
import org.plateaubench.units.Decimals;

/**
 * A comparison of records as one HTML file that needs nothing else. The verdicts come first, with what they are a statement
 * about; then rises, differences, what cancelled and what was corrected.
 */
public final class ComparisonPage {

    /** Colours that tell sets apart; further sets share the last. */
    private static final int MOST_COLOURS = 5;

    private static final double ROW_HEIGHT = 24;
    /** A contribution of which so little is left in a difference has cancelled. */
    private static final double CANCELLED = 0.1;

    private final NightComparison comparison;
    private final List<ComparedNight> nights;
    private final double equivalentWithinKelvin;
    private final String mark;
    private final List<String> sets;
    private int charts;

    private ComparisonPage(NightComparison comparison, List<ComparedNight> nights, double equivalentWithinKelvin) {
        this.comparison = comparison;
        this.nights = nights;
        this.equivalentWithinKelvin = equivalentWithinKelvin;
        this.mark = comparison.simulated() ? "SIMULATED" : "";
        this.sets = nights.stream().map(ComparedNight::set).distinct().toList();
    }

    /**
     * Makes the page of a comparison. Nothing is written.
     *
     * @param comparison the comparison
     * @param nights the nights that it was made of
     * @param equivalentWithinKelvin δ of an equivalence, K; 0 where none was asked for
     * @param seals hash of the tag manifest of each record, by its name in the comparison; a record may lack one
     * @param agent program and version that makes the page
     * @return the page, UTF-8 when written
     */
    public static String html(
            NightComparison comparison,
            List<ComparedNight> nights,
            double equivalentWithinKelvin,
            Map<String, String> seals,
            String agent) {
        return new ComparisonPage(comparison, nights, equivalentWithinKelvin).page(seals, agent);
    }

    /**
     * Makes the page of records that cannot be compared.
     *
     * @param reasons every reason
     * @param nights those that could be read
     * @param seals hash of the tag manifest of each record
     * @param agent program and version that makes the page
     * @return the page
     */
    public static String refused(
            List<String> reasons, List<ComparedNight> nights, Map<String, String> seals, String agent) {
        Html html = Html.page(
                "Records that cannot be compared",
                nights.stream().anyMatch(night -> night.results().simulated()));
        html.markup("<main>").element("h1", "Records that cannot be compared");
        html.markup("<section class=\"verdict\" aria-label=\"verdict\">");
        html.element("p", "said", "There is no difference to state: these records cannot be compared.");
        html.markup("</section>").heading("reasons", "Why").markup("<ul>");
        reasons.forEach(reason -> html.element("li", reason));
        html.markup("</ul>");
        records(html, nights, seals, agent);
        return html.markup("</main>\n</body>\n</html>").toString();
    }

    private String page(Map<String, String> seals, String agent) {
        boolean oneSet = sets.size() == 1;
        String name = oneSet
                ? "Nights of fan set " + sets.get(0) + " compared"
                : "Fan sets " + ResultSection.list(sets) + " compared";
        Html html = Html.page(name, comparison.simulated());
        html.markup("<header>").element("h1", name);
        html.element(
                "p",
                "lead",
                nights.get(0).results().title() + ", " + nights.size() + " nights on "
                        + ResultSection.list(comparison.benches().stream()
                                .map(OnBench::bench)
                                .toList()));
        html.markup("</header>\n<main>\n<section class=\"verdict\" aria-label=\"verdict\">");
        verdicts(html);
        html.markup("</section>");
        for (OnBench bench : comparison.benches()) {
            String on = on(bench);
            rises(html, bench, on);
            differences(html, bench, on);
            nightAgreements(html, bench, on);
        }
        benchAgreements(html);
        comparison.benches().stream().filter(b -> !b.differences().isEmpty()).forEach(b -> cancelled(html, b));
        comparison.benches().forEach(b -> corrected(html, b));
        findings(html);
        records(html, nights, seals, agent);
        cautions(html);
        return html.markup("</main>\n</body>\n</html>").toString();
    }

    private String id(String part, OnBench bench) {
        return part + "-" + (comparison.benches().indexOf(bench) + 1);
    }

    /** Names the bench where there are several. */
    private String on(OnBench bench) {
        return comparison.benches().size() > 1 ? " on " + bench.bench() : "";
    }

    private String marked(String caption) {
        return mark.isEmpty() ? caption : mark + ": " + caption;
    }

    /** A record by its number in the table of records; other names stay as they are. */
    private String name(String record) {
        int number = nights.stream().map(ComparedNight::record).toList().indexOf(record) + 1;
        return number == 0 ? record : "night " + number;
    }

    private List<ComparedNight> nights(OnBench bench) {
        Set<String> records = new LinkedHashSet<>();
        bench.levels().points().forEach(p -> records.add(p.record()));
        return nights.stream().filter(n -> records.contains(n.record())).toList();
    }

    // ---- the verdicts

    private void verdicts(Html html) {
        for (OnBench bench : comparison.benches()) {
            boolean both = !bench.levels().differences().isEmpty()
                    && !bench.differences().isEmpty();
            verdicts(
                    html,
                    bench,
                    bench.levels().differences(),
                    both ? "At equal own level, along each set's line:" : "");
            verdicts(html, bench, bench.differences(), both ? "At the plan's steps:" : "");
            if (!bench.differences().isEmpty()) {
                html.element("p", scope(bench));
            } else if (comparison.benches().size() == 1) {
                html.element("p", "said", marked(agreement(bench)));
                html.element(
                        "p",
                        "This is about " + of(nights(bench), bench.order().get(0))
                                + ", and how far its nights repeat; it says nothing about another set or bench.");
            }
        }
        if (!comparison.benchAgreements().isEmpty()) {
            long apart = comparison.benchAgreements().stream()
                    .filter(BenchAgreement::apart)
                    .count();
            html.element(
                    "p",
                    "said",
                    marked(
                            apart == 0
                                    ? "The differences found on two benches agree."
                                    : "The differences found on two benches do NOT agree: " + apart + " of "
                                            + comparison.benchAgreements().size() + "."));
        }
    }

    private void verdicts(Html html, OnBench bench, List<Difference> differences, String where) {
        if (differences.isEmpty()) {
            return;
        }
        if (!where.isEmpty()) {
            html.element("p", where);
        }
        html.markup("<ul class=\"verdicts\">");
        for (Difference d : differences) {
            html.markup("<li><strong>" + Html.escaped(marked(d.statement())) + "</strong> "
                    + Html.escaped(at(d.step()) + on(bench)) + "</li>");
        }
        html.markup("</ul>");
    }

    /** Differences at equal own level, then those at the steps. */
    private static List<Difference> all(OnBench bench) {
        return Stream.concat(bench.levels().differences().stream(), bench.differences().stream())
                .toList();
    }

    private static String at(String step) {
        return step.startsWith("mean of") ? "as the " + step : "at " + step;
    }

    private static String agreement(OnBench bench) {
        List<NightAgreement> apart =
                bench.nightAgreements().stream().filter(NightAgreement::apart).toList();
        return apart.isEmpty()
                ? "The nights of fan set " + bench.order().get(0) + " agree."
                : "The nights of fan set " + bench.order().get(0) + " do NOT agree: " + apart.size() + " of "
                        + bench.nightAgreements().size()
                        + " rises differ from the first night's by more than all of them"
                        + " may by chance.";
    }

    /** What the differences are a statement about. */
    private String scope(OnBench bench) {
        List<ComparedNight> here = nights(bench);
        List<String> parts =
                bench.order().stream().distinct().map(set -> of(here, set)).toList();
        boolean replicated = replicated(bench.differences());
        boolean everywhere = replicated
                && (bench.levels().differences().isEmpty()
                        || replicated(bench.levels().differences()));
        return "This is about " + ResultSection.list(parts) + ", on this bench"
                + (replicated
                        ? everywhere
                                ? ". What nights differ by is in the intervals."
                                : ". What nights differ by is in the intervals at the steps, and not in those at equal own"
                                        + " level."
                        : ": one night a set, so these are differences of these nights and mounts, and between-night"
                                + " variance is not estimated.")
                + " It says nothing about other specimens or another bench. All intervals of a list hold at once with"
                + " 95 %; \"not shown to differ\" does not mean equal.";
    }

    private static boolean replicated(List<Difference> differences) {
        return differences.stream().anyMatch(Difference::nightsReplicated);
    }

    private static String of(List<ComparedNight> nights, String set) {
        List<FansFile> fans = nights.stream()
                .filter(n -> n.set().equals(set))
                .map(n -> n.files().fans())
                .toList();
        List<String> specimens =
                fans.stream().flatMap(f -> f.specimens().stream()).distinct().toList();
        long mounts = fans.stream().map(f -> f.mount().number()).distinct().count();
        return "set " + set + " (" + String.join(", ", specimens) + "; " + count(fans.size(), "night") + ", "
                + count(mounts, "mount") + ")";
    }

    private static String count(long number, String what) {
        return number + " " + what + (number == 1 ? "" : "s");
    }

    // ---- rises

    private void rises(Html html, OnBench bench, String on) {
        html.heading(id("rises", bench), "Rise of each set" + on);
        html.figure(
                rises(
                        bench,
                        "Rise against speed",
                        "speed of the fans, rpm",
                        LevelComparison.Point::rpm,
                        p -> Double.NaN),
                "Each night's rise at each step with its 95 % interval, and the mean of the nights as a line. Most of"
                        + " what these intervals hold errs alike every night and cancels where nights are compared, below, so"
                        + " intervals that overlap do not mean that there is no difference.");
        if (bench.levels().points().stream().anyMatch(p -> Double.isFinite(p.ownLevelDb()))) {
            html.figure(
                    rises(
                            bench,
                            "Rise against own level",
                            "own level of the fans, dB(A)",
                            LevelComparison.Point::ownLevelDb,
                            LevelComparison.Point::ownLevelExpandedDb),
                    "The same against the fans' own level, the background taken off, with 95 % intervals both ways.");
        }
    }

    private String rises(
            OnBench bench,
            String title,
            String along,
            ToDoubleFunction<LevelComparison.Point> place,
            ToDoubleFunction<LevelComparison.Point> halfWidth) {
        List<LevelComparison.Point> points = bench.levels().points().stream()
                .filter(p -> Double.isFinite(place.applyAsDouble(p)))
                .toList();
        double[] places = points.stream()
                .flatMapToDouble(p -> ends(place.applyAsDouble(p), halfWidth.applyAsDouble(p)))
                .toArray();
        double[] rises = points.stream()
                .flatMapToDouble(p -> ends(p.riseKelvin(), p.expandedKelvin()))
                .toArray();
        List<String> said = new ArrayList<>();
        points.forEach(p -> said.add("set " + p.set() + ", " + p.step() + ": " + rise(p)));
        Chart chart = new Chart(
                "chart-" + ++charts,
                title,
                String.join("; ", said) + ".",
                Axis.along(along, low(places), high(places)),
                Axis.upright(
                        "rise of the coolant"
                                + (Double.isFinite(bench.heatFlowWatts())
                                        ? " at " + Decimals.fixed(bench.heatFlowWatts(), 1) + " W"
                                        : "")
                                + ", K",
                        low(rises),
                        high(rises)),
                260,
                70,
                false,
                mark);
        for (String set : sets) {
            List<LevelComparison.Point> own =
                    points.stream().filter(p -> p.set().equals(set)).toList();
            chart.line(means(own, place), colour(set), "set " + set);
            for (LevelComparison.Point p : own) {
                chart.point(
                        place.applyAsDouble(p),
                        p.riseKelvin(),
                        halfWidth.applyAsDouble(p),
                        p.expandedKelvin(),
                        colour(set),
                        shape(set),
                        "",
                        "set " + set + ", " + p.step() + ", " + name(p.record()) + ": " + rise(p) + " at "
                                + Decimals.fixed(p.rpm(), 0) + " rpm"
                                + (Double.isFinite(p.ownLevelDb()) ? ", own level " + level(p) : ""));
            }
        }
        return chart.svg();
    }

    private static DoubleStream ends(double value, double half) {
        return Double.isNaN(half) ? DoubleStream.of(value) : DoubleStream.of(value - half, value + half);
    }

    /** Mean over the nights at each step, by rising place. */
    private static Series means(List<LevelComparison.Point> points, ToDoubleFunction<LevelComparison.Point> place) {
        Map<String, List<LevelComparison.Point>> steps = new LinkedHashMap<>();
        points.forEach(
                p -> steps.computeIfAbsent(p.step(), step -> new ArrayList<>()).add(p));
        TreeMap<Double, Double> means = new TreeMap<>();
        steps.values()
                .forEach(nights -> means.put(mean(nights, place), mean(nights, LevelComparison.Point::riseKelvin)));
        return new Series(
                means.keySet().stream().mapToDouble(x -> x).toArray(),
                means.values().stream().mapToDouble(y -> y).toArray());
    }

    private static double mean(List<LevelComparison.Point> points, ToDoubleFunction<LevelComparison.Point> value) {
        return points.stream().mapToDouble(value).average().orElse(Double.NaN);
    }

    private static double low(double[] values) {
        return DoubleStream.of(values).min().orElse(Double.NaN);
    }

    private static double high(double[] values) {
        return DoubleStream.of(values).max().orElse(Double.NaN);
    }

    private int colour(String set) {
        return Math.min(sets.indexOf(set) + 1, MOST_COLOURS);
    }

    private Chart.Mark shape(String set) {
        Chart.Mark[] shapes = Chart.Mark.values();
        return shapes[Math.min(sets.indexOf(set), MOST_COLOURS - 1)];
    }

    private static String rise(LevelComparison.Point p) {
        return with(p.riseKelvin(), p.expandedKelvin(), 2) + " K";
    }

    private static String level(LevelComparison.Point p) {
        return with(p.ownLevelDb(), p.ownLevelExpandedDb(), 1) + " dB";
    }

    /** A value with its interval to the digits that the interval allows; to so many decimals where there is none. */
    private static String with(double value, double half, int decimals) {
        if (Double.isNaN(value)) {
            return Fields.NONE;
        }
        return Double.isFinite(half) ? Rounded.of(value, half).toString() : Decimals.fixed(value, decimals);
    }

    private static String number(double value, int decimals) {
        return Double.isFinite(value) ? Decimals.fixed(value, decimals) : Fields.NONE;
    }

    // ---- differences

    private void differences(Html html, OnBench bench, String on) {
        if (bench.differences().isEmpty()) {
            return;
        }
        html.heading(id("differences", bench), "Differences" + on);
        String caption = "Rise of a set less that of " + comparison.against()
                + ", with intervals that all hold at once with 95 %. An interval that lies wholly on one side of zero"
                + " shows a difference."
                + (equivalentWithinKelvin > 0
                        ? " Shaded: within " + Decimals.shortest(equivalentWithinKelvin, 3)
                                + " K, where sets are called equivalent."
                        : "");
        if (!bench.levels().differences().isEmpty()) {
            html.figure(
                    forest(bench.levels().differences(), "Differences at equal own level"),
                    "At equal own level. " + caption
                            + " Between the steps of a night its rise is interpolated; what the levels are uncertain by"
                            + " is in the intervals.");
        }
        html.figure(forest(bench.differences(), "Differences at the steps"), "At the steps. " + caption);
        Html.Table table = new Html.Table(marked("rise of the set less that of " + comparison.against()))
                .column("set")
                .column("at")
                .numbers("difference, K")
                .column("verdict")
                .numbers("factor k")
                .numbers("shows from, K")
                .numbers("between nights, K");
        for (Difference d : all(bench)) {
            table.row(
                    "",
                    List.of(
                            d.set(),
                            d.step(),
                            with(d.kelvin(), d.expandedKelvin(), 3),
                            word(d.verdict()),
                            number(d.coverageFactor(), 2),
                            number(ComparisonFiles.detectableKelvin(d), 3),
                            d.nightsReplicated() ? number(d.nightSpreadKelvin(), 3) : Fields.NONE));
        }
        html.table(table);
        html.element(
                "p",
                "small",
                "A true difference of the size under \"shows from\" is shown in four of five cases. Verdicts are asked in"
                        + " this order: a shown difference, then equivalence, then \"not shown to differ\".");
    }

    private static String word(Verdict verdict) {
        return switch (verdict) {
            case COOLER -> "cooler";
            case WARMER -> "warmer";
            case EQUIVALENT -> "equivalent";
            case NOT_SHOWN_TO_DIFFER -> "not shown to differ";
        };
    }

    /** One row a difference, with its interval beside zero and its verdict in words. */
    private String forest(List<Difference> differences, String title) {
        boolean severalSets =
                differences.stream().map(Difference::set).distinct().count() > 1;
        List<Ticks.Tick> rows = new ArrayList<>();
        List<String> said = new ArrayList<>();
        for (Difference d : differences) {
            rows.add(new Ticks.Tick(-rows.size(), severalSets ? d.set() + ", " + d.step() : d.step()));
            said.add(d.statement() + " " + at(d.step()));
        }
        double[] reach = DoubleStream.concat(
                        DoubleStream.of(0, -equivalentWithinKelvin, equivalentWithinKelvin),
                        differences.stream().flatMapToDouble(d -> ends(d.kelvin(), d.expandedKelvin())))
                .toArray();
        Chart chart = new Chart(
                "chart-" + ++charts,
                title,
                String.join("; ", said) + ".",
                Axis.across(
                        "rise less that of " + comparison.against() + ", K; cooler on the left",
                        low(reach),
                        high(reach)),
                new Axis("", 0.6 - rows.size(), 0.6, new Ticks(rows)),
                ROW_HEIGHT * rows.size() + 8,
                230,
                false,
                mark);
        if (equivalentWithinKelvin > 0) {
            chart.shade(-equivalentWithinKelvin, equivalentWithinKelvin, "alike");
        }
        chart.upright(0);
        for (int i = 0; i < differences.size(); i++) {
            Difference d = differences.get(i);
            String printed = with(d.kelvin(), d.expandedKelvin(), 3) + " K";
            chart.point(
                    d.kelvin(),
                    -i,
                    d.expandedKelvin(),
                    Double.NaN,
                    colour(d.set()),
                    shape(d.set()),
                    "",
                    d.statement() + " " + at(d.step()));
            chart.beside(-i, printed + " " + word(d.verdict()), colour(d.set()));
        }
        return chart.svg();
    }

    // ---- agreement

    private void nightAgreements(Html html, OnBench bench, String on) {
        if (bench.nightAgreements().isEmpty()) {
            return;
        }
        html.heading(id("nights", bench), "How far nights of one set repeat" + on);
        if (bench.returnsToASet()) {
            html.element(
                    "p",
                    "A set was measured again after another: what it changed by in between is drift, which cancels in the"
                            + " mean of its nights as far as it is steady.");
        }
        Html.Table table = new Html.Table(marked("later nights less the first one; they agree where |E| is 1 or less"))
                .column("set")
                .column("step")
                .column("later night")
                .numbers("change, K")
                .numbers("shows from, K")
                .numbers("E")
                .column("");
        for (NightAgreement a : bench.nightAgreements()) {
            table.row(
                    "",
                    List.of(
                            a.set(),
                            a.step(),
                            name(a.later()),
                            with(a.kelvin(), a.expandedKelvin(), 3),
                            number(a.detectableKelvin(), 3),
                            number(a.normalizedError(), 2),
                            agrees(a.normalizedError())));
        }
        html.table(table);
    }

    private void benchAgreements(Html html) {
        if (comparison.benchAgreements().isEmpty()) {
            return;
        }
        html.heading("benches", "How far two benches agree");
        html.element(
                "p",
                "Absolute rises of two benches cannot agree; the difference of two sets can, and is compared by its E"
                        + " number.");
        Html.Table table = new Html.Table(marked("difference of the sets on each bench"))
                .column("set")
                .column("step")
                .numbers("first, K")
                .numbers("second, K")
                .numbers("± 95 %, K")
                .numbers("shows from, K")
                .numbers("E")
                .column("");
        for (BenchAgreement a : comparison.benchAgreements()) {
            table.row(
                    "",
                    List.of(
                            a.set(),
                            a.step(),
                            number(a.firstKelvin(), 3),
                            number(a.secondKelvin(), 3),
                            number(a.expandedKelvin(), 3),
                            number(a.detectableKelvin(), 3),
                            number(a.normalizedError(), 2),
                            agrees(a.normalizedError())));
        }
        html.table(table);
    }

    private static String agrees(double normalizedError) {
        return NormalizedError.agrees(normalizedError) ? "agrees" : "does NOT agree";
    }

    // ---- what cancelled, what was corrected

    private void cancelled(Html html, OnBench bench) {
        Map<String, Double> inNights = new LinkedHashMap<>();
        Set<String> shared = new LinkedHashSet<>();
        for (ComparedNight night : nights(bench)) {
            night.results().steps().stream()
                    .flatMap(s -> s.estimate().stream())
                    .flatMap(e -> e.full().contributions().stream())
                    .forEach(c -> {
                        inNights.merge(c.name(), c.inResult(), Math::max);
                        if (c.shared()) {
                            shared.add(c.name());
                        }
                    });
        }
        Map<String, Double> left = new LinkedHashMap<>();
        for (Difference d : bench.differences()) {
            Map<String, Double> ofBothSets = new LinkedHashMap<>();
            for (Contribution c : d.budget().contributions()) {
                // A line that is one set's alone is named "A: change of the baseline"; the other set has its own.
                String name = inNights.keySet().stream()
                        .filter(n -> c.name().endsWith(": " + n))
                        .findFirst()
                        .orElse(c.name());
                ofBothSets.merge(name, c.inResult(), StrictMath::hypot);
            }
            ofBothSets.forEach((name, kelvin) -> left.merge(name, kelvin, Math::max));
        }
        html.heading(id("cancelled", bench), "What cancelled" + on(bench));
        Html.Table table = new Html.Table(marked(
                        "largest standard uncertainties of one night's rise, and what is left in a difference at the"
                                + " steps"))
                .column("from")
                .numbers("in a rise, K")
                .numbers("in a difference, K")
                .column("");
        Set<String> names = new LinkedHashSet<>(inNights.keySet());
        names.addAll(left.keySet());
        for (String name : names) {
            double before = inNights.getOrDefault(name, Double.NaN);
            double after = left.getOrDefault(name, Double.NaN);
            table.row(
                    "", List.of(name, number(before, 4), number(after, 4), fate(before, after, shared.contains(name))));
        }
        html.table(table);
        html.element(
                "p",
                "small",
                "The corrections of the bench's channels did not change between these nights, so what errs alike in both,"
                        + " such as the offset of a probe, is not in a difference; what it errs by in proportion is, as"
                        + " far as the rises differ."
                        + (replicated(bench.differences())
                                ? " The spread between nights holds the spread between passes."
                                : ""));
    }

    private void corrected(Html html, OnBench bench) {
        html.heading(id("corrected", bench), "What was corrected" + on(bench));
        Html.Table table = new Html.Table(
                        marked("each night at each step: from the rise as it was measured to the one that is compared"))
                .column("night")
                .column("set")
                .column("step")
                .numbers("as measured, K")
                .numbers("settling, K")
                .numbers("speed and heat flow, K")
                .numbers("as compared ± 95 %, K")
                .numbers("speed, rpm")
                .numbers("own level, dB(A)")
                .numbers("heat flow, W");
        for (LevelComparison.Point p : bench.levels().points()) {
            nights.stream()
                    .filter(n -> n.record().equals(p.record()))
                    .flatMap(n -> n.results().steps().stream())
                    .filter(s -> s.step().equals(p.step()))
                    .forEach(step -> table.row("", corrected(bench, p, step)));
        }
        html.table(table);
        html.element(
                "p",
                "small",
                "Settling: what the fitted remaining rise adds. Speed: from the mean speed to that of the setpoint, with the"
                        + " exponent that the night's steps show. Heat flow: to the mean of the nights.");
    }

    /** What became of a contribution; NaN where it is not in a rise, or not in a difference. */
    private static String fate(double before, double after, boolean shared) {
        if (Double.isNaN(after)) {
            return "is in the spread between nights";
        }
        if (before == 0.0 && after == 0.0) {
            return "";
        }
        return shared && after < CANCELLED * before
                ? "cancels"
                : shared && after < before ? "cancels in part" : "stays";
    }

    private List<String> corrected(OnBench bench, LevelComparison.Point p, StepResult step) {
        double settling = step.evidence()
                .map(e -> e.passes().stream()
                        .mapToDouble(PassRise::settlingKelvin)
                        .average()
                        .orElse(0.0))
                .orElse(0.0);
        double rest = p.riseKelvin() - step.measuredRiseKelvin() - settling;
        return List.of(
                name(p.record()),
                p.set(),
                p.step(),
                number(step.measuredRiseKelvin(), 3),
                signed(settling),
                signed(rest),
                with(p.riseKelvin(), p.expandedKelvin(), 3),
                number(step.fanRpm(), 0) + " to " + number(p.rpm(), 0),
                with(p.ownLevelDb(), p.ownLevelExpandedDb(), 1),
                number(step.powerWatts(), 1) + " to " + number(bench.heatFlowWatts(), 1));
    }

    private static String signed(double kelvin) {
        return (kelvin > 0 ? "+" : "") + Decimals.fixed(kelvin, 3);
    }

    // ---- the rest

    private void findings(Html html) {
        if (comparison.findings().isEmpty()) {
            return;
        }
        html.heading("findings", "Findings").markup("<ul>");
        for (NightFinding finding : comparison.findings()) {
            html.element("li", name(finding.about()) + ": " + finding.text());
        }
        html.markup("</ul>");
    }

    private static void records(Html html, List<ComparedNight> nights, Map<String, String> seals, String agent) {
        html.heading("records", "Records");
        Html.Table table = new Html.Table(
                        "records, whose hashes, journal and signature were checked; an audit says whether"
                                + " their signers are to be believed")
                .column("night")
                .column("set")
                .column("record")
                .column("opened")
                .column("specimens")
                .numbers("mount")
                .column("bench")
                .column("hash of the tag manifest");
        for (ComparedNight night : nights) {
            FansFile fans = night.files().fans();
            table.row(
                    "",
                    List.of(
                            Integer.toString(nights.indexOf(night) + 1),
                            night.set(),
                            night.record(),
                            night.openedUtc(),
                            String.join(", ", fans.specimens()),
                            Integer.toString(fans.mount().number()),
                            night.files().bench().name(),
                            seals.getOrDefault(night.record(), "not sealed")));
        }
        html.table(table);
        html.element("p", "small", "This page was made by " + agent + ".");
    }

    private void cautions(Html html) {
        html.heading("cautions", "Cautions").markup("<ul>");
        if (comparison.simulated()) {
            html.element("li", "The bench is a simulation: never pass any of this for a measurement.");
        }
        boolean oneMount = nights.stream()
                        .map(n -> n.set() + " " + n.files().fans().mount().number())
                        .distinct()
                        .count()
                == sets.size();
        if (oneMount) {
            html.element("li", "Each set was mounted once: what mounting it anew would change is in no interval.");
        }
        if (nights.stream().flatMap(n -> n.results().steps().stream()).anyMatch(s -> s.settled() < s.passes())) {
            html.element("li", "At least one pass that counts had not settled when its longest soak was over.");
        }
        html.element("li", "Differences at another heat flow or another ambient are not these.");
        html.element(
                "li",
                "The meter's own error is alike in all nights and in no interval of a level; where the microphone was put"
                        + " up anew between nights, that is in none either.");
        html.markup("</ul>");
    }
}
