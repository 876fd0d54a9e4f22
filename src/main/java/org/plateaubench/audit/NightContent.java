package org.plateaubench.audit;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.BenchFileReader;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.SourceText;
import org.plateaubench.record.Finding;
import org.plateaubench.record.Json;
import org.plateaubench.record.RecordFolder;

/**
 * Looks at what records say of their nights: the plan against those that are approved, calibration at the date of the run,
 * cut-offs, and whether anything simulated is passed for measured. Files that many records share are read once.
 */
final class NightContent {

    private static final String PLAN = "plan.yaml";
    private static final String BENCH = "bench.yaml";
    private static final String PROVENANCE = "provenance.json";
    /** How the simulated instruments name themselves in their identity. */
    private static final String SIMULATED = ",SIMULATED";

    private final Optional<Set<String>> approvedPlans;
    private final Map<List<ByteBuffer>, Facts> known = new ConcurrentHashMap<>();

    NightContent(Optional<Set<String>> approvedPlans) {
        this.approvedPlans = approvedPlans;
    }

    /** What matters of plan, fans and bench file. */
    private record Facts(boolean read, boolean simulated, boolean lacksCutOffs, List<ChannelSpec> calibrated) {}

    /** Adds what there is to say of a record whose bytes were looked at already. */
    void judge(Path record, boolean measured, String openedUtc, List<Finding> findings) throws IOException {
        RecordFolder folder = RecordFolder.open(record);
        byte[] plan = folder.file(PLAN);
        if (approvedPlans.isPresent() && !approvedPlans.get().contains(sha256(plan))) {
            findings.add(NightCheck.PLAN_NOT_APPROVED.at("data/" + PLAN, "its SHA-256 is " + sha256(plan)));
        }
        byte[] fans = folder.file("fans.yaml");
        byte[] bench = folder.file(BENCH);
        Facts facts = known.computeIfAbsent(
                List.of(ByteBuffer.wrap(plan), ByteBuffer.wrap(fans), ByteBuffer.wrap(bench)),
                files -> facts(plan, fans, bench));
        if (!facts.read()) {
            findings.add(NightCheck.FILES_REFUSED.at("data", "this version does not take plan, fans and bench file"));
        }
        Map<String, Object> provenance = provenance(folder);
        if (measured && (facts.simulated() || saysSimulated(provenance))) {
            findings.add(NightCheck.SIMULATED_AS_MEASURED.at(
                    facts.simulated() ? "data/" + BENCH : "data/" + PROVENANCE,
                    "bag-info.txt says that nothing is simulated"));
        }
        if (Boolean.TRUE.equals(provenance.get("attended")) && facts.lacksCutOffs()) {
            findings.add(NightCheck.CUT_OFFS_MISSING.at("data/" + BENCH, "it was run as attended, without cut-offs"));
        }
        if (provenance.get("replay-of") instanceof Map<?, ?> first) {
            findings.add(NightCheck.REPLAY.at(
                    "data/" + PROVENANCE,
                    "it is the replay of " + first.get("record") + ", whose tag manifest has the SHA-256 "
                            + first.get("tag_manifest_sha256")));
        }
        overdue(facts, openedUtc, findings);
    }

    private static void overdue(Facts facts, String openedUtc, List<Finding> findings) {
        if (openedUtc.length() < "2026-11-24".length()) {
            return; // that it does not say when it was opened is a finding already
        }
        String day = openedUtc.substring(0, "2026-11-24".length());
        for (ChannelSpec channel : facts.calibrated()) {
            ChannelSpec.Calibration calibration = channel.calibration().orElseThrow();
            LocalDate due = calibration.due();
            if (due.toString().compareTo(day) < 0) {
                findings.add(NightCheck.CALIBRATION_OVERDUE.at(
                        "data/" + BENCH,
                        channel.name() + ", certificate " + calibration.certificate() + ", was due on " + due
                                + ", the night was run on " + day));
            }
        }
    }

    /** The bench file is judged also where plan or fans file are not taken. */
    private static Facts facts(byte[] planBytes, byte[] fansBytes, byte[] benchBytes) {
        SourceText source = new SourceText(BENCH, benchBytes);
        Optional<BenchFile> bench = BenchFileReader.read(source).value();
        Optional<NightFiles> files = NightFiles.read(
                        new SourceText(PLAN, planBytes), new SourceText("fans.yaml", fansBytes), source)
                .value();
        boolean simulated = bench.isPresent() && bench.get().simulation().isPresent();
        return new Facts(
                files.isPresent(),
                simulated,
                !simulated
                        && files.isPresent()
                        && !files.get().problemsWhenUnattended().isEmpty(),
                bench.map(BenchFile::channels).orElse(List.of()).stream()
                        .filter(channel -> channel.calibration().isPresent())
                        .toList());
    }

    private static Map<String, Object> provenance(RecordFolder folder) {
        try {
            return Json.read(folder.file(PROVENANCE));
        } catch (IOException | Json.JsonFault e) {
            return Map.of(); // a record that was cut off in its beginnings, or of another program
        }
    }

    private static boolean saysSimulated(Map<String, Object> provenance) {
        List<Object> identities = new ArrayList<>();
        for (Object device : provenance.get("devices") instanceof List<?> list ? list : List.of()) {
            identities.add(device instanceof Map<?, ?> map ? map.get("identity") : "");
        }
        return Boolean.TRUE.equals(provenance.get("simulated"))
                || identities.stream().anyMatch(id -> String.valueOf(id).contains(SIMULATED));
    }

    private static String sha256(byte[] bytes) {
        try {
            return HexFormat.of().formatHex(MessageDigest.getInstance("SHA-256").digest(bytes));
        } catch (NoSuchAlgorithmException e) {
            throw new IllegalStateException("every Java platform has SHA-256", e);
        }
    }
}
