package org.plateaubench.cli;

import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import org.plateaubench.bench.check.Calibration.Probe;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.problem.YamlEdit;
import org.plateaubench.units.Decimals;

/** Writes corrections into the text of a bench file. Everything else in it stays as it was. */
final class CalibratedFile {

    private CalibratedFile() {}

    /**
     * The text with new corrections.
     *
     * @param text the bench file
     * @param file the same, as it was read
     * @param probes what came of each probe, without fault
     * @param how what they were compared in, for the certificate's name
     * @param today when; the correction is due a year later
     * @return the changed text
     */
    static String text(String text, BenchFile file, List<Probe> probes, String how, LocalDate today) {
        String changed = text;
        for (Probe probe : probes) {
            ChannelSpec channel = file.channel(probe.channel()).orElseThrow();
            List<String> path = List.of("channels", probe.channel());
            changed = YamlEdit.commentAbove(changed, path, "until " + today + ": " + before(channel));
            changed = set(changed, path, "correction", Decimals.fixed(probe.correctionKelvin(), 3) + " K");
            changed = set(changed, path, "uncertainty", "{ expanded: " + expanded(probe) + ", k: 2 }");
            changed = set(
                    changed,
                    path,
                    "calibration",
                    "{ certificate: \"" + how + " " + today + "\", due: " + today.plusYears(1) + " }");
        }
        return changed;
    }

    private static String set(String text, List<String> path, String key, String value) {
        List<String> whole = new ArrayList<>(path);
        whole.add(key);
        return YamlEdit.set(text, whole, value);
    }

    /** {@return the expanded uncertainty, k = 2, rounded up to a hundredth of a kelvin} */
    static String expanded(Probe probe) {
        return Decimals.fixed(StrictMath.ceil(probe.standardKelvin() * 200.0) / 100.0, 2) + " K";
    }

    private static String before(ChannelSpec channel) {
        StringBuilder text =
                new StringBuilder("correction " + Decimals.shortest(channel.correction(), 6) + " K, uncertainty ");
        text.append(channel.uncertainty().map(ChannelSpec.Uncertainty::stated).orElse("not stated"));
        channel.calibration()
                .ifPresent(c -> text.append(", certificate ")
                        .append(c.certificate())
                        .append(" due ")
                        .append(c.due()));
        return text.toString();
    }
}
