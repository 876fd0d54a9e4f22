package org.plateaubench.audit;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.Amendments;
import org.plateaubench.record.Nights;
import org.plateaubench.record.RecordHead;
import org.plateaubench.record.RecordWriter;
import org.plateaubench.record.Statement;
import org.plateaubench.record.TrustFile;

/** What an audit says of the night in a record: a sound one, and one fault at a time. */
class NightCheckTest {

    private static final Path VALID = Path.of("src/test/resources/files/valid");
    private static final TrustFile TRUST =
            Nights.trusting(Map.of("technician", Nights.TECHNICIAN, "lead", Nights.LEAD));

    @TempDir
    Path records;

    private String plan;
    private String bench;
    private String provenance = "{\"attended\":false}";
    private Optional<Set<String>> approved = Optional.empty();

    @BeforeEach
    void sound() throws IOException {
        plan = Files.readString(VALID.resolve("everything-plan.yaml"));
        bench = Files.readString(VALID.resolve("everything-bench.yaml"));
    }

    private Path record(boolean resumed) throws IOException {
        Map<String, byte[]> files = new LinkedHashMap<>();
        files.put("plan.yaml", plan.getBytes(StandardCharsets.UTF_8));
        files.put("fans.yaml", Files.readAllBytes(VALID.resolve("everything-fans.yaml")));
        files.put("bench.yaml", bench.getBytes(StandardCharsets.UTF_8));
        files.put("provenance.json", provenance.getBytes(StandardCharsets.UTF_8));
        RecordHead small = Nights.head("night");
        RecordHead head = new RecordHead(
                "night", small.utc(), small.agent(), false, files, small.columns(), small.stages(), small.header());
        try (RecordWriter writer = RecordWriter.open(records, head, Nights.TECHNICIAN)) {
            Nights.fill(writer, 6, 5);
            if (resumed) {
                writer.journal(Map.of("type", "resumed"));
            }
            writer.seal(Nights.SEALED, Nights.OUTCOME);
            return writer.folder();
        }
    }

    private AuditReport audit(Path record) throws IOException {
        return Audit.audit(
                record, new AuditOptions(TRUST, Optional.empty(), Optional.empty(), approved, 1, (done, all) -> {}));
    }

    private static List<String> codes(AuditReport report) {
        return report.records().get(0).findings().stream()
                .map(j -> j.finding().code())
                .filter(code -> !code.equals("NOT_SIGNED_OFF"))
                .toList();
    }

    @Test
    void aSoundNightOnARealBenchHasNoFinding() throws IOException {
        assertEquals(List.of(), codes(audit(record(false))));
    }

    @ParameterizedTest
    @EnumSource
    void isFound(NightCheck check) throws IOException {
        boolean resumed = false;
        switch (check) {
            case PLAN_NOT_APPROVED -> approved = Optional.of(new TreeSet<>(Set.of("0".repeat(64))));
            case CALIBRATION_OVERDUE -> bench = bench.replace("due: 2027-03-01", "due: 2026-11-23");
            case CUT_OFFS_MISSING -> {
                bench = bench.replace(", silence-cutoff: 10 s", "");
                provenance = "{\"attended\":true}";
            }
            case SIMULATED_AS_MEASURED ->
                provenance = "{\"devices\":[{\"device\":\"controller\",\"identity\":\"PLATEAU,SIMULATED-C,0,1\"}]}";
            case FILES_REFUSED -> plan = plan.replace("title:", "titel:");
            case CUT_OFF -> resumed = true;
            case REPLAY ->
                provenance = "{\"replay-of\":{\"record\":\"night-before\",\"tag_manifest_sha256\":\"00ff\"}}";
            case PASS_SET_ASIDE -> {
                // set aside below, once it is sealed
            }
        }
        Path record = record(resumed);
        if (check == NightCheck.PASS_SET_ASIDE) {
            Amendments.add(
                    record,
                    new Statement.SetAside("2.1/1", "a window was open"),
                    List.of(),
                    "lead",
                    Nights.SEALED,
                    Nights.LEAD);
        }
        AuditReport report = audit(record);
        assertEquals(List.of(check.name()), codes(report));
        assertEquals(
                Set.of(NightCheck.FILES_REFUSED, NightCheck.CUT_OFF, NightCheck.REPLAY, NightCheck.PASS_SET_ASIDE)
                        .contains(check),
                !report.fails());
    }

    @Test
    void aSimulatedBenchFileIsNeverPassedForMeasured() throws IOException {
        bench = new String(NightFiles.simulatedBench().bytes(), StandardCharsets.UTF_8);
        plan = Files.readString(Path.of("protocols/quick-look.yaml"));
        AuditReport report = audit(record(false));
        // The fans file is of another bench, so the three are not taken together; the bench file is seen all the same.
        assertEquals(List.of("FILES_REFUSED", "SIMULATED_AS_MEASURED"), codes(report));
        assertTrue(report.fails());
        assertFalse(report.records().get(0).findings().get(1).finding().acceptable());
    }

    @Test
    void theDayOfTheRunDecidesWhetherACalibrationWasDue() throws IOException {
        bench = bench.replace("due: 2027-03-01", "due: 2026-11-24"); // the night was run on that day
        assertEquals(List.of(), codes(audit(record(false))));
    }

    @Test
    void anApprovedPlanPasses() throws IOException {
        Path record = record(false);
        String line = Files.readAllLines(record.resolve("manifest-sha256.txt")).stream()
                .filter(l -> l.endsWith("data/plan.yaml"))
                .findFirst()
                .orElseThrow();
        approved = Optional.of(Set.of(line.substring(0, 64)));
        assertEquals(List.of(), codes(audit(record)));
    }

    @Test
    void anAcceptedFindingStopsFailing() throws IOException {
        bench = bench.replace("due: 2027-03-01", "due: 2026-11-23");
        Path record = record(false);
        assertTrue(audit(record).fails());
        Amendments.add(
                record,
                new Statement.SignOff(
                        "seen", List.of(new Statement.Accepted("CALIBRATION_OVERDUE", "data/bench.yaml"))),
                List.of(),
                "lead",
                Nights.SEALED,
                Nights.LEAD);
        AuditReport report = audit(record);
        assertFalse(report.fails());
        assertTrue(report.text().contains("accepted by lead"), report.text());
        assertTrue(report.text().contains("1 sign-off, text: seen"), report.text());
    }
}
