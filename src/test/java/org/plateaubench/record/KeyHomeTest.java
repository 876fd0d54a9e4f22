package org.plateaubench.record;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.FileSystems;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.PosixFilePermissions;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;
import java.util.function.Supplier;
import java.util.stream.Collectors;
import org.junit.jupiter.api.RepeatedTest;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class KeyHomeTest {

    private static final Supplier<char[]> NEVER_ASKED = () -> {
        throw new AssertionError("asked for a passphrase");
    };

    @TempDir
    Path folder;

    private static void needsModes() {
        assumeTrue(
                FileSystems.getDefault().supportedFileAttributeViews().contains("posix"),
                "this file system knows no modes");
    }

    private static String mode(Path file) throws Exception {
        return PosixFilePermissions.toString(Files.getPosixFilePermissions(file));
    }

    @ParameterizedTest
    @CsvSource({"/own, /config, /own", "'', /config, /config/plateau", "'', '', /home/me/.config/plateau"})
    void theUsualPlaceFollowsTheEnvironment(String own, String config, String expected) {
        KeyHome home = KeyHome.usual(Map.of("PLATEAU_HOME", own, "XDG_CONFIG_HOME", config), "/home/me");
        assertEquals(Path.of(expected), home.folder());
    }

    @Test
    void aRunWithoutAKeyMakesOneSaysSoAndTrustsIt() throws Exception {
        KeyHome home = new KeyHome(folder.resolve("deep/plateau"));

        KeyHome.RunKey made = home.keyForRun("me", NEVER_ASKED);
        KeyHome.RunKey again = home.keyForRun("me", NEVER_ASKED);

        String fingerprint = made.key().signer().fingerprint();
        assertTrue(made.said().orElseThrow().contains(fingerprint), made.said().toString());
        assertEquals(Optional.empty(), again.said());
        assertEquals(made.key().signer(), again.key().signer());
        assertEquals(
                new TrustFile.Standing(TrustFile.Verdict.TRUSTED, "me", ""),
                home.trust().standing(made.key().signer(), Nights.SEALED));
        assertEquals(
                made.key().signer(),
                SignerKey.ofPem(Files.readString(home.folder().resolve("public.pem"))));
    }

    @RepeatedTest(20)
    void firstRunsAtOnceHaveOneKeyThatIsTrusted() throws Exception {
        Path home = folder.resolve("new/home");
        ExecutorService runs = Executors.newFixedThreadPool(8);
        try {
            List<Future<KeyHome.RunKey>> begun = new ArrayList<>();
            for (int i = 0; i < 8; i++) {
                begun.add(runs.submit(() -> new KeyHome(home).keyForRun("A", NEVER_ASKED)));
            }
            Set<SignerKey> keys = new HashSet<>();
            int made = 0;
            for (Future<KeyHome.RunKey> each : begun) {
                keys.add(each.get().key().signer());
                made += each.get().said().isPresent() ? 1 : 0;
            }
            assertEquals(1, keys.size());
            assertEquals(1, made);
            assertEquals(
                    keys,
                    new KeyHome(home)
                            .trust().trusted().stream()
                                    .map(TrustFile.Trusted::key)
                                    .collect(Collectors.toSet()));
        } finally {
            runs.shutdown();
        }
    }

    @Test
    void theKeyIsTheOwnersAloneAndIsRefusedOtherwise() throws Exception {
        needsModes();
        KeyHome home = new KeyHome(folder.resolve("plateau"));
        home.create(Optional.empty());
        Path key = home.folder().resolve("key.pem");
        assertEquals("rw-------", mode(key));
        assertEquals("rwx------", mode(home.folder()));

        Files.setPosixFilePermissions(key, PosixFilePermissions.fromString("rw-r-----"));
        RecordFault fault = assertThrows(RecordFault.class, () -> home.load(NEVER_ASKED));
        assertTrue(fault.found().contains("chmod 600"), fault.found());
    }

    @Test
    void aKeyIsNeverWrittenOver() throws Exception {
        KeyHome home = new KeyHome(folder);
        home.create(Optional.empty());
        byte[] before = Files.readAllBytes(folder.resolve("key.pem"));
        assertThrows(FileAlreadyExistsException.class, () -> home.create(Optional.empty()));
        assertArrayEquals(before, Files.readAllBytes(folder.resolve("key.pem")));
    }

    /** Files whose program ends in the middle of one operation. */
    private static final class CutOff extends FileOps {
        private int left;

        CutOff(int left) {
            this.left = left;
        }

        boolean over() {
            return left < 0;
        }

        private boolean last() throws IOException {
            left--;
            if (left < -1) {
                throw new IOException("the program is over");
            }
            return left == -1;
        }

        @Override
        void write(Path file, byte[] bytes) throws IOException {
            boolean last = last();
            super.write(file, last ? Arrays.copyOf(bytes, bytes.length / 2) : bytes);
            end(last);
        }

        @Override
        void link(Path file, Path name) throws IOException {
            end(last());
            super.link(file, name);
        }

        @Override
        void move(Path from, Path to) throws IOException {
            end(last());
            super.move(from, to);
        }

        @Override
        void delete(Path file) throws IOException {
            end(last());
            super.delete(file);
        }

        @Override
        void forceFolder(Path folder) throws IOException {
            end(last());
            super.forceFolder(folder);
        }

        private static void end(boolean last) throws IOException {
            if (last) {
                throw new IOException("the program is over");
            }
        }
    }

    @Test
    void whereverTheMakingOfAKeyIsCutOffTheNextRunHasOneThatIsTrusted() throws Exception {
        int cuts = 0;
        for (CutOff ops = new CutOff(0); ; ops = new CutOff(++cuts)) {
            Path place = folder.resolve("cut-" + cuts);
            CutOff cut = ops;
            try {
                new KeyHome(place, cut).keyForRun("me", NEVER_ASKED);
            } catch (IOException e) {
                assertTrue(cut.over(), () -> "cut " + place + ": " + e);
            }
            KeyHome home = new KeyHome(place);
            SealingKey key = home.keyForRun("me", NEVER_ASKED).key();
            assertEquals(key.signer(), home.load(NEVER_ASKED).signer());
            assertEquals(
                    TrustFile.Verdict.TRUSTED,
                    home.trust().standing(key.signer(), Nights.SEALED).verdict(),
                    place.toString());
            assertEquals(key.signer(), SignerKey.ofPem(Files.readString(place.resolve("public.pem"))));
            if (!cut.over()) {
                break;
            }
        }
        assertEquals(10, cuts, "operations");
    }

    @Test
    void aTrustFileIsOnTheDiskUnderItsNameBeforeAnybodyReliesOnIt() throws Exception {
        List<String> done = new ArrayList<>();
        KeyHome home = new KeyHome(folder, new FileOps() {
            @Override
            void move(Path from, Path to) throws IOException {
                super.move(from, to);
                done.add("moved " + to.getFileName());
            }

            @Override
            void forceFolder(Path forced) throws IOException {
                super.forceFolder(forced);
                done.add("forced " + forced.getFileName());
            }
        });

        home.trust(new TrustFile.Trusted("lead", Nights.LEAD.signer(), Optional.empty(), Optional.empty()));

        assertEquals(List.of("moved trust.jsonl", "forced " + folder.getFileName()), done);
    }

    @Test
    void aPassphraseIsAskedOnlyWhereThereIsOne() throws Exception {
        KeyHome home = new KeyHome(folder);
        SealingKey made = home.create(Optional.of("open sesame".toCharArray()));
        assertTrue(home.asksForPassphrase());
        assertEquals(made.signer(), home.load("open sesame"::toCharArray).signer());
    }

    @Test
    void aTrustFileThatOthersMayWriteToIsRefused() throws Exception {
        needsModes();
        KeyHome home = new KeyHome(folder);
        home.trust(new TrustFile.Trusted("lead", Nights.LEAD.signer(), Optional.empty(), Optional.empty()));
        assertEquals("rw-------", mode(folder.resolve("trust.jsonl")));
        Files.setPosixFilePermissions(folder.resolve("trust.jsonl"), PosixFilePermissions.fromString("rw-rw-r--"));
        assertThrows(RecordFault.class, home::trust);
    }

    @Test
    void trustHasATimeAndCanBeTakenBack() throws Exception {
        KeyHome home = new KeyHome(folder);
        SignerKey lead = Nights.LEAD.signer();
        home.trust(new TrustFile.Trusted(
                "lead",
                lead,
                Optional.of(Instant.parse("2026-01-01T00:00:00Z")),
                Optional.of(Instant.parse("2027-01-01T00:00:00Z"))));

        assertEquals(
                TrustFile.Verdict.TRUSTED,
                home.trust().standing(lead, "2026-01-01T00:00:00.000Z").verdict());
        assertEquals(
                TrustFile.Verdict.NOT_VALID,
                home.trust().standing(lead, "2025-12-31T23:59:59.999Z").verdict());
        assertEquals(
                TrustFile.Verdict.NOT_VALID,
                home.trust().standing(lead, "2027-01-01T00:00:00.000Z").verdict());
        assertEquals(
                TrustFile.Verdict.NOT_VALID,
                home.trust().standing(lead, "no time").verdict());
        TrustFile.Standing stranger = home.trust().standing(Nights.STRANGER.signer(), Nights.SEALED);
        assertEquals(TrustFile.Verdict.UNKNOWN, stranger.verdict());
        assertTrue(stranger.detail().contains(Nights.STRANGER.signer().fingerprint()), stranger.detail());

        assertThrows(
                IllegalArgumentException.class,
                () -> home.revoke("nobody", Instant.parse("2026-06-01T00:00:00Z"), "lost"));
        home.revoke("lead", Instant.parse("2026-06-01T00:00:00Z"), "laptop stolen");
        TrustFile.Standing revoked = home.trust().standing(lead, "2026-02-01T00:00:00.000Z");
        assertEquals(TrustFile.Verdict.REVOKED, revoked.verdict());
        assertEquals("revoked at 2026-06-01T00:00:00Z: laptop stolen", revoked.detail());
    }

    @Test
    void aLineThatIsNoneIsNamed() throws Exception {
        String good = new String(Nights.trusting(Map.of("lead", Nights.LEAD)).bytes(), StandardCharsets.UTF_8);
        String fingerprint = Nights.LEAD.signer().fingerprint();
        for (String bad : List.of(
                "{}",
                "no JSON",
                good.strip().replace(fingerprint, "0".repeat(64)),
                good.strip().replace("\"lead\"", "\"\""),
                "{\"revoke\":\"" + fingerprint + "\",\"at\":\"yesterday\",\"reason\":\"\"}")) {
            Path file = folder.resolve("trust.jsonl");
            Files.writeString(file, good + bad + "\n");
            RecordFault fault = assertThrows(RecordFault.class, () -> TrustFile.read(file), bad);
            assertEquals(file + ":2", fault.place());
        }
    }
}
