package org.plateaubench.cli;

import java.time.OffsetDateTime;
import java.time.temporal.ChronoUnit;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.Limit;
import org.plateaubench.night.Rehearsal;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.units.Decimals;
import org.plateaubench.units.Durations;

/** A rehearsal as text for a terminal: timeline, picture, where the time goes, what it needs. */
final class RehearsalText {

    /** Width of the picture, columns; each is the same length of time. */
    private static final int PICTURE_COLUMNS = 72;

    private final NightFiles files;
    private final Rehearsal rehearsal;
    private final StringBuilder text = new StringBuilder();

    private RehearsalText(NightFiles files, Rehearsal rehearsal) {
        this.files = files;
        this.rehearsal = rehearsal;
    }

    static String of(NightFiles files, Rehearsal rehearsal) {
        return new RehearsalText(files, rehearsal).text();
    }

    private String text() {
        text.append("REHEARSED on a simulated twin of \"")
                .append(files.bench().name())
                .append("\": ")
                .append(files.plan().title())
                .append(", fan set ")
                .append(files.fans().set())
                .append('\n');
        timeline();
        picture();
        whereTheTimeGoes();
        whatItNeeds();
        return text.toString();
    }

    private void timeline() {
        TextTable table = new TextTable("begins", "stage", "pass", "step", ">takes");
        for (Rehearsal.Entry e : rehearsal.timeline()) {
            table.row(
                    clock(e.beginSeconds()),
                    e.stage(),
                    e.pass().isEmpty() ? "-" : e.pass(),
                    e.step().isEmpty() ? "-" : e.step(),
                    Durations.text(e.endSeconds() - e.beginSeconds()));
        }
        text.append(table.text());
    }

    /** One row a stage, one column a stretch of time, hours marked below. */
    private void picture() {
        double column = rehearsal.seconds() / PICTURE_COLUMNS;
        Map<String, char[]> rows = new LinkedHashMap<>();
        for (Rehearsal.Entry e : rehearsal.timeline()) {
            char[] row = rows.computeIfAbsent(
                    e.stage(), stage -> " ".repeat(PICTURE_COLUMNS).toCharArray());
            int from = (int) (e.beginSeconds() / column);
            int to = Math.max(from + 1, (int) Math.round(e.endSeconds() / column));
            for (int i = from; i < Math.min(to, PICTURE_COLUMNS); i++) {
                row[i] = '=';
            }
        }
        int width = rows.keySet().stream().mapToInt(String::length).max().orElse(0);
        rows.forEach((stage, row) -> text.append("  ")
                .append(stage)
                .append(" ".repeat(width - stage.length()))
                .append(" |")
                .append(row)
                .append("|\n"));
        String hours = hours(column).stripTrailing();
        if (!hours.isEmpty()) {
            text.append(" ".repeat(width + 4)).append(hours).append('\n');
        }
    }

    private String hours(double column) {
        StringBuilder marks = new StringBuilder(" ".repeat(PICTURE_COLUMNS + 6));
        OffsetDateTime hour = rehearsal.start().truncatedTo(ChronoUnit.HOURS).plusHours(1);
        int free = 0;
        while (true) {
            double seconds = ChronoUnit.SECONDS.between(rehearsal.start(), hour);
            int at = (int) (seconds / column);
            if (seconds > rehearsal.seconds()) {
                return marks.toString();
            }
            if (at >= free) {
                String label = ProgressScreen.CLOCK.format(hour);
                marks.replace(at, at + label.length(), label);
                free = at + label.length() + 1;
            }
            hour = hour.plusHours(1);
        }
    }

    private void whereTheTimeGoes() {
        Map<String, Double> stages = new LinkedHashMap<>();
        rehearsal.timeline().forEach(e -> stages.merge(e.stage(), e.endSeconds() - e.beginSeconds(), Double::sum));
        text.append("  where the time goes:");
        stages.forEach((stage, seconds) -> text.append("  ")
                .append(stage)
                .append(' ')
                .append(Decimals.fixed(seconds / 3600, 2))
                .append(" h (")
                .append(Decimals.fixed(100 * seconds / rehearsal.seconds(), 0))
                .append(" %)"));
        text.append('\n');
    }

    private void whatItNeeds() {
        text.append("  takes ")
                .append(Durations.text(rehearsal.seconds()))
                .append(", from ")
                .append(clock(0))
                .append(" to ")
                .append(clock(rehearsal.seconds()));
        files.plan().finishBy().ifPresent(t -> text.append("; finish-by ").append(t));
        text.append("\n  passes that fit: ")
                .append(rehearsal.passesDone())
                .append(" of ")
                .append(rehearsal.passesPlanned())
                .append('\n');
        if (rehearsal.passesDone() < rehearsal.passesPlanned()) {
            text.append("  ends as: ").append(rehearsal.reason()).append('\n');
        }
        text.append("  disk needed: about ")
                .append(Decimals.fixed(rehearsal.bytes() / 1e6, 1))
                .append(" MB\n");
        text.append("  a person is needed: to start it; after that nobody, unless a limit or a fault ends it\n");
        tightened();
    }

    private void tightened() {
        BenchFile bench = files.bench();
        for (Limit limit : files.plan().limits()) {
            List<Limit> ofBench = bench.limits().stream()
                    .filter(b -> b.channel().equals(limit.channel()) && b.side() == limit.side())
                    .toList();
            text.append("  tightened by the plan: ").append(limit);
            ofBench.forEach(b -> text.append(" (bench: ").append(b).append(')'));
            text.append('\n');
        }
    }

    private String clock(double seconds) {
        return ProgressScreen.CLOCK.format(rehearsal.start().plusSeconds(Math.round(seconds)));
    }
}
