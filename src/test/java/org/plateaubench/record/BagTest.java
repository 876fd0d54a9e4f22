package org.plateaubench.record;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assumptions.assumeFalse;

import java.io.IOException;
import java.net.URISyntaxException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.MethodSource;
import org.junit.jupiter.params.provider.ValueSource;

class BagTest {

    @TempDir
    Path bag;

    static List<Map<String, String>> suite() throws IOException {
        return ReferenceCsv.rows("bagit/suite-expected.csv");
    }

    private static List<String> codes(Path bag) throws IOException {
        List<String> codes = new ArrayList<>();
        Bag.check(bag, finding -> codes.add(finding.code() + " " + finding.place()));
        return codes;
    }

    /** Validation: the Library of Congress conformance suite for RFC 8493, v1.0. */
    @ParameterizedTest
    @MethodSource("suite")
    void theConformanceSuiteIsJudgedAsItSays(Map<String, String> row) throws IOException, URISyntaxException {
        Path root = Path.of(BagTest.class.getResource("/reference/bagit/suite").toURI());
        List<String> codes = codes(root.resolve(row.get("bag")));

        assertEquals(row.get("expected").equals("valid"), codes.isEmpty(), codes.toString());
    }

    /** Which fault makes each bag of the suite invalid; two of them have a second one. */
    @ParameterizedTest
    @CsvSource({
        "bagit-with-invalid-whitespace, BAGIT_BROKEN bagit.txt",
        "notAllManifestsListAllFiles, FILE_NOT_LISTED data/missingFromManifest.txt",
        "same-filename-listed-twice-with-different-hashes, MANIFEST_BROKEN manifest-sha256.txt:2",
        "same-filename-listed-twice-with-the-same-hash, MANIFEST_BROKEN manifest-sha256.txt:2"
    })
    void theFaultOfTheSuiteIsNamed(String name, String fault) throws IOException, URISyntaxException {
        Path root = Path.of(
                BagTest.class.getResource("/reference/bagit/suite/invalid").toURI());
        List<String> codes = codes(root.resolve(name));

        assertTrue(codes.contains(fault), codes.toString());
    }

    @BeforeEach
    void makeBag() throws IOException {
        Files.createDirectories(bag.resolve("data/deep"));
        put("bagit.txt", "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n");
        put("data/a.txt", "a");
        put("data/deep/b 1.txt", "bb");
        Map<String, String> hashes = new LinkedHashMap<>();
        hashes.put("data/a.txt", Sha256.of(bytes("a")));
        hashes.put("data/deep/b 1.txt", Sha256.of(bytes("bb")));
        Files.write(bag.resolve("manifest-sha256.txt"), Manifest.text(hashes));
        put("bag-info.txt", "Source: here\n  and there\nPayload-Oxum: 3.2\nBagging-Date: 2026-11-24\n");
    }

    private static byte[] bytes(String text) {
        return text.getBytes(StandardCharsets.UTF_8);
    }

    private void put(String path, String text) throws IOException {
        Files.writeString(bag.resolve(path), text);
    }

    @Test
    void aBagWithFoldersAndWithoutTagManifestIsValid() throws IOException {
        assertEquals(List.of(), codes(bag));
        assertEquals(
                "here and there",
                BagInfo.read(Files.readAllBytes(bag.resolve("bag-info.txt"))).value("source"));
    }

    @Test
    void lineEndsMayBeThoseOfOtherSystems() throws IOException {
        put("bagit.txt", "BagIt-Version: 1.0\r\nTag-File-Character-Encoding: UTF-8\r\n");
        put(
                "manifest-sha256.txt",
                Files.readString(bag.resolve("manifest-sha256.txt")).replace("\n", "\r"));
        assertEquals(List.of(), codes(bag));
    }

    @ParameterizedTest
    @ValueSource(
            strings = {
                "../a.txt",
                "data/../../a.txt",
                "/etc/hosts",
                "~/a.txt",
                "~root",
                "C:/a.txt",
                "c:a.txt",
                "data\\a.txt",
                "data//a.txt",
                "data/./a.txt",
                "data/a.txt/",
                "data/%0A",
                "data/%41",
                "data/A.TXT",
                "notes.txt"
            })
    void pathsThatLeaveTheBagOrMeanAnotherFileAreRefused(String path) throws IOException {
        put(
                "manifest-sha256.txt",
                Files.readString(bag.resolve("manifest-sha256.txt")) + "0".repeat(64) + "  " + path + "\n");
        List<String> codes = codes(bag);
        assertTrue(codes.stream().anyMatch(c -> c.startsWith("MANIFEST_BROKEN manifest-sha256.txt")), codes.toString());
    }

    @Test
    void namesThatAnotherSystemTakesForTheSameAreRefused() throws IOException {
        assertEquals(Manifest.folded("data/é.txt"), Manifest.folded("data/e\u0301.TXT"));
        assertEquals(Manifest.folded("data/ς"), Manifest.folded("data/Σ"));
        assumeFalse(Files.exists(bag.resolve("data/A.txt")), "this file system takes them for the same itself");
        put("data/A.txt", "other");
        List<String> codes = codes(bag);
        assertTrue(codes.contains("NAME_REFUSED data/a.txt"), codes.toString());
    }

    @Test
    void perCentSignsAndLineEndsInNamesAreEncoded() throws IOException {
        Map<String, String> hashes =
                Manifest.read(bytes("0".repeat(64) + "  data/50%25.txt\n"), "manifest-sha256.txt", 64);
        assertEquals("[data/50%.txt]", hashes.keySet().toString());
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {
                "Payload-Oxum: 3.3",
                "Payload-Oxum: 4.2",
                "Payload-Oxum: 3.2\\nPayload-Oxum: 3.2",
                "Bagging-Date: yesterday",
                "no colon",
                "Label:no space"
            })
    void aBagInfoThatContradictsTheRulesIsRefused(String text) throws IOException {
        put("bag-info.txt", text.replace("\\n", "\n") + "\n");
        List<String> codes = codes(bag);
        assertEquals(1, codes.size(), codes.toString());
        assertTrue(codes.get(0).startsWith("BAG_INFO_BROKEN bag-info.txt"), codes.toString());
    }

    @Test
    void aManifestOfAnotherAlgorithmIsCheckedToo() throws IOException {
        put(
                "manifest-md5.txt",
                "0cc175b9c0f1b6a831c399e269772661  data/a.txt\n00000000000000000000000000000000  data/deep/b 1.txt\n");
        assertEquals(List.of("FILE_CHANGED data/deep/b 1.txt"), codes(bag));
        put("manifest-crc32.txt", "0\n");
        assertTrue(codes(bag).contains("MANIFEST_BROKEN manifest-crc32.txt"));
    }

    @Test
    void aTagManifestListsManifestsAndNeitherPayloadNorItself() throws IOException {
        put("tagmanifest-sha256.txt", Sha256.of(bag.resolve("data/a.txt")) + "  data/a.txt\n");
        List<String> codes = codes(bag);
        assertTrue(codes.contains("MANIFEST_BROKEN tagmanifest-sha256.txt"), codes.toString());
        assertTrue(codes.contains("FILE_NOT_LISTED manifest-sha256.txt"), codes.toString());
    }

    @Test
    void missingPartsAreNamed() throws IOException {
        Files.delete(bag.resolve("bagit.txt"));
        Files.delete(bag.resolve("manifest-sha256.txt"));
        assertEquals(List.of("FILE_MISSING bagit.txt", "FILE_MISSING manifest-sha256.txt"), codes(bag));
    }
}
