package org.plateaubench.audit;

import static org.junit.jupiter.api.Assertions.assertEquals;

import gov.loc.repository.bagit.domain.Bag;
import gov.loc.repository.bagit.reader.BagReader;
import gov.loc.repository.bagit.verify.BagVerifier;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Comparator;
import java.util.List;
import java.util.Map;
import java.util.TreeSet;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.plateaubench.Wants;
import org.plateaubench.record.Amendments;
import org.plateaubench.record.Nights;
import org.plateaubench.record.Statement;
import org.plateaubench.record.Tool;
import org.plateaubench.record.TrustFile;

/**
 * Validation: whole and broken records before judges that are not ours. sha256sum checks payload and tag files against
 * the two manifests, openssl the signature, the Library of Congress's bag library the bag. Nothing that one of them
 * refuses passes an audit; what only an audit refuses is what none of them looks at.
 */
class OtherJudgesTest {

    private static final TrustFile TRUST =
            Nights.trusting(Map.of("technician", Nights.TECHNICIAN, "lead", Nights.LEAD));

    private static final String SIGNATURE = "signature/tagmanifest-sha256.txt.sig";

    @TempDir
    Path folder;

    private Path record;

    /** Something done to a record. */
    private interface Deed {
        void on(Path record) throws IOException;
    }

    /**
     * What is done, and who refuses the record then: p and t are sha256sum on payload and on tag files, s is openssl on
     * the signature, b is the bag library. The last is for what an audit fails it.
     */
    enum Case {
        NOTHING("....", "", record -> {}),
        PAYLOAD_BYTE_CHANGED("p..b", "FILE_CHANGED", record -> {
            byte[] bytes = Files.readAllBytes(record.resolve("data/samples.csv"));
            bytes[bytes.length / 2] ^= 1;
            Files.write(record.resolve("data/samples.csv"), bytes);
        }),
        PAYLOAD_FILE_MISSING(
                "p..b", "BAG_INFO_BROKEN FILE_MISSING", record -> Files.delete(record.resolve("data/load-1.log"))),
        TAG_FILE_MISSING(".t.b", "FILE_MISSING", record -> Files.delete(record.resolve("bagit.txt"))),
        BAG_INFO_CHANGED(
                ".t.b", "FILE_CHANGED LEDGER_DIFFERS", record -> swap(record, "bag-info.txt", "true", "false")),
        // a manifest says nothing about what it does not list; the bag library compares it with the folder
        PAYLOAD_FILE_ADDED(
                "...b", "BAG_INFO_BROKEN FILE_NOT_LISTED", record -> Files.createFile(record.resolve("data/more.csv"))),
        // RFC 8493 allows tag files that no tag manifest lists
        TAG_FILE_ADDED("....", "FILE_NOT_LISTED", record -> Files.createFile(record.resolve("more.txt"))),
        MANIFEST_MADE_TO_FIT(".t.b", "FILE_CHANGED", record -> {
            swap(record, "data/plan.yaml", "forged", "filled");
            refit(record, "manifest-sha256.txt", "data/plan.yaml");
        }),
        // every hash fits: only the signature tells
        BOTH_MANIFESTS_MADE_TO_FIT("..s.", "LEDGER_DIFFERS SIGNATURE_WRONG", record -> {
            swap(record, "data/plan.yaml", "forged", "filled");
            refit(record, "manifest-sha256.txt", "data/plan.yaml");
            refit(record, "tagmanifest-sha256.txt", "manifest-sha256.txt");
        }),
        // nothing lists the signature, since it is over the list
        SIGNATURE_CHANGED("..s.", "LEDGER_DIFFERS SIGNATURE_WRONG", record -> {
            byte[] bytes = Files.readAllBytes(record.resolve(SIGNATURE));
            bytes[10] ^= 1;
            Files.write(record.resolve(SIGNATURE), bytes);
        }),
        SIGNER_SWAPPED(
                ".tsb",
                "BAG_INFO_BROKEN FILE_CHANGED SIGNATURE_WRONG SIGNER_UNKNOWN",
                record -> Files.writeString(
                        record.resolve("signature/signer.pem"),
                        Nights.STRANGER.signer().pem())),
        // whole in itself; who may sign is told by no record
        SEALED_BY_A_STRANGER("....", "LEDGER_DIFFERS SIGNER_UNKNOWN", record -> {
            Path other = Nights.sealed(record.getParent().resolveSibling("elsewhere"), "night", Nights.STRANGER);
            remove(record);
            Files.move(other, record);
        }),
        AMENDED("....", "", OtherJudgesTest::amend),
        AMENDMENT_CHANGED("....", "AMENDMENT_BROKEN AMENDMENT_MISSING", record -> {
            amend(record);
            swap(record, "amendments/0001-set-aside.json", "was open", "was shut");
        }),
        AMENDMENT_REMOVED("....", "AMENDMENT_MISSING", record -> {
            amend(record);
            remove(record.resolve("amendments"));
        }),
        // RFC 8493 knows it: a file that is to be fetched from elsewhere
        FETCH_ADDED("....", "FETCH_REFUSED FILE_NOT_LISTED", record -> Files.createFile(record.resolve("fetch.txt")));

        private final String refusedBy;
        private final String findings;
        private final Deed deed;

        Case(String refusedBy, String findings, Deed deed) {
            this.refusedBy = refusedBy;
            this.findings = findings;
            this.deed = deed;
        }
    }

    private static void swap(Path record, String file, String from, String to) throws IOException {
        String text = Files.readString(record.resolve(file));
        assertEquals(2, text.split(from, -1).length, file);
        Files.writeString(record.resolve(file), text.replace(from, to));
    }

    /** Gives a manifest the hash that a file has now. */
    private static void refit(Path record, String manifest, String file) throws IOException {
        try {
            String sum = Tool.run(record, "sha256sum", file).text().strip();
            String old = Files.readAllLines(record.resolve(manifest)).stream()
                    .filter(line -> line.endsWith("  " + file))
                    .findFirst()
                    .orElseThrow();
            swap(record, manifest, old, sum);
        } catch (InterruptedException e) {
            throw new IOException(e);
        }
    }

    private static void amend(Path record) throws IOException {
        Amendments.add(
                record,
                new Statement.SetAside("900-rpm.1", "the door was open"),
                List.of(new Amendments.Attached("door.txt", "open".getBytes(StandardCharsets.UTF_8))),
                "technician",
                Nights.SEALED,
                Nights.TECHNICIAN);
    }

    private static void remove(Path folder) throws IOException {
        try (Stream<Path> paths = Files.walk(folder)) {
            for (Path path : paths.sorted(Comparator.reverseOrder()).toList()) {
                Files.delete(path);
            }
        }
    }

    @BeforeEach
    void seal() throws IOException {
        record = Nights.sealed(folder.resolve("records"), "night", Nights.TECHNICIAN);
    }

    private boolean refuses(String... program) throws IOException, InterruptedException {
        return Tool.run(record, program).exit() != 0;
    }

    private boolean bagLibraryRefuses() throws InterruptedException {
        try (BagVerifier verifier = new BagVerifier()) {
            Bag bag = new BagReader().read(record);
            verifier.isValid(bag, false);
            BagVerifier.quicklyVerify(bag);
            return false;
        } catch (InterruptedException e) {
            throw e;
        } catch (Exception e) {
            return true;
        }
    }

    @ParameterizedTest
    @EnumSource
    void nothingThatOthersRefusePassesAnAudit(Case of) throws Exception {
        Wants.program("sha256sum");
        Wants.program("openssl");
        of.deed.on(record);

        String refusedBy = (refuses("sha256sum", "--strict", "-c", "manifest-sha256.txt") ? "p" : ".")
                + (refuses("sha256sum", "--strict", "-c", "tagmanifest-sha256.txt") ? "t" : ".")
                + (Tool.verifySeal(record).exit() != 0 ? "s" : ".")
                + (bagLibraryRefuses() ? "b" : ".");
        TreeSet<String> findings = new TreeSet<>();
        AuditReport report = Audit.audit(record.getParent(), AuditOptions.of(TRUST));
        report.records().get(0).findings().stream()
                .filter(AuditReport.Judged::fails)
                .forEach(j -> findings.add(j.finding().code()));
        System.out.println(of + " | " + refusedBy + " | " + String.join(" ", findings));

        assertEquals(of.refusedBy + " " + of.findings, refusedBy + " " + String.join(" ", findings));
        assertEquals(!findings.isEmpty(), report.fails());
    }
}
