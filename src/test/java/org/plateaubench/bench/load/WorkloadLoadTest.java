package org.plateaubench.bench.load;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.CompletableFuture;
import java.util.stream.Stream;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;
import org.plateaubench.Wants;
import org.plateaubench.bench.LoadEvent;
import org.plateaubench.bench.LoadEvent.Kind;
import org.plateaubench.bench.SetResult;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.clock.Deadline;

/** Regression: real processes, looked at by another path than the load's own. */
class WorkloadLoadTest {

    private static final HeatDemand HEAT = new HeatDemand.Workload(Benches.WORKLOAD, 0);

    @TempDir
    Path folder;

    private final String token = Processes.token();
    private final List<LoadEvent> events = new ArrayList<>();
    private WorkloadLoad load;

    @BeforeAll
    static void onlyWhereProcessesCanBeSeen() {
        Wants.that(Processes.canBeSeen(), "/proc and /bin/sh");
    }

    @AfterEach
    void nothingIsLeft() {
        if (load != null) {
            load.close();
        }
        assertEquals(List.of(), Processes.with(token), "processes left behind");
    }

    static Stream<Containment> containments() {
        return Stream.of(Containment.here(), Containment.none());
    }

    @ParameterizedTest
    @MethodSource("containments")
    void offEndsAShellWithItsForks(Containment containment) {
        on(containment, GuardedCommand.LEASE_MILLIS, "sleep T & sleep T & (sleep T & sleep T) & wait");
        assertTrue(Processes.within(2_000, () -> sleeping() == 4), () -> "sleeping: " + sleeping());

        SetResult off = load.off();

        assertTrue(off.done(), off::toString);
        assertEquals("nothing is left", off.readback());
        assertEquals(List.of(), Processes.with(token));
    }

    @ParameterizedTest
    @MethodSource("containments")
    void offEndsAChildThatIgnoresRequestsToEnd(Containment containment) {
        on(containment, GuardedCommand.LEASE_MILLIS, "trap '' TERM INT HUP; sleep T & wait; sleep T");
        assertTrue(Processes.within(2_000, () -> sleeping() == 1));

        assertTrue(load.off().done());

        assertEquals(List.of(), Processes.with(token));
    }

    @ParameterizedTest
    @MethodSource("containments")
    void offEndsAChildThatMadeItselfADaemon(Containment containment) {
        Wants.program("setsid");
        on(containment, GuardedCommand.LEASE_MILLIS, "(setsid sh -c 'sleep T & exit 0' &) ; sleep T");
        assertTrue(Processes.within(2_000, () -> sleeping() == 2));

        assertTrue(load.off().done());

        assertEquals(List.of(), Processes.with(token));
    }

    @Test
    void offEndsADaemonWithoutEnvironmentWhereTheSystemHasProcessNamespaces() {
        assumeTrue(
                Containment.here().prefix().contains("--kill-child"),
                Containment.here().text());
        on("(setsid env -i sh -c 'sleep T & exit 0' &) ; sleep T");
        assertTrue(Processes.within(2_000, () -> sleeping() == 2));

        assertTrue(load.off().done());

        assertEquals(List.of(), Processes.with(token));
    }

    @ParameterizedTest
    @MethodSource("containments")
    void whatACompletedRunLeavesBehindIsEndedBeforeTheNext(Containment containment) {
        on(containment, GuardedCommand.LEASE_MILLIS, "sleep T & sleep 0.3");
        assertTrue(Processes.within(2_000, () -> sleeping() == 1));

        await(Kind.COMPLETED, 2);

        assertTrue(sleeping() <= 1, () -> "sleeping: " + sleeping());
    }

    @Test
    void aCompletedRunIsCountedAndStartedAgain() throws IOException {
        SetResult on = on("echo working; sleep 0.05");
        assertTrue(on.done(), on::toString);
        assertTrue(on.readback().startsWith("started, held "), on::readback);

        await(Kind.COMPLETED, 3);
        assertTrue(load.off().done());

        List<LoadEvent> first = events.subList(0, 6);
        assertEquals(
                List.of(Kind.STARTED, Kind.COMPLETED, Kind.STARTED, Kind.COMPLETED, Kind.STARTED, Kind.COMPLETED),
                first.stream().map(LoadEvent::kind).toList());
        assertEquals("run 3", first.get(4).detail());
        assertTrue(
                first.get(5).detail().matches("run 3 ended with status 0 after 0\\.[0-9]{2} s"), first.get(5)::detail);
        String log = Files.readString(folder.resolve("load-1.log"));
        assertTrue(log.startsWith("[run 1 started]\nworking\n[run 1 ended with status 0 after "), log);
    }

    @Test
    void aFailedRunIsReportedAndNotStartedAgainUntilAsked() {
        on("test -e marker || { touch marker; exit 0; }; echo no such tree; exit 3");
        await(Kind.FAILED, 1);

        LoadEvent failed = events.get(events.size() - 1);
        assertTrue(
                failed.detail().matches("run 2 ended with status 3 after [0-9.]+ s; last output: no such tree"),
                failed::detail);
        assertTrue(load.off().done());
        assertEquals(List.of(), Processes.with(token));

        assertTrue(load.on(HEAT).done());
        await(Kind.FAILED, 2);
        assertTrue(Files.exists(folder.resolve("load-2.log")));
    }

    @Test
    void aMissingCommandIsNamed() {
        load = load(Containment.here(), GuardedCommand.LEASE_MILLIS, List.of("no-such-program-here", token));

        SetResult on = load.on(HEAT);

        assertFalse(on.done());
        assertTrue(
                on.detail().startsWith("there is no program 'no-such-program-here' in any folder of PATH"), on::detail);
        assertEquals(List.of(new LoadEvent(Kind.FAILED, on.detail())), load.events());
    }

    @Test
    void aCommandThatCannotBeExecutedIsReportedAsFailed() throws IOException {
        Path broken = Files.writeString(folder.resolve("broken-" + token), "#!/no/such/interpreter\n");
        assertTrue(broken.toFile().setExecutable(true));
        load = load(Containment.here(), GuardedCommand.LEASE_MILLIS, List.of(broken.toString()));

        load.on(HEAT);

        await(Kind.FAILED, 1);
    }

    @Test
    void tenMegabytesOfOutputNeitherHoldUpTheLoadNorFillTheDisk() throws IOException {
        on("head -c 10000000 /dev/zero | tr '\\0' x; echo; echo done");
        await(Kind.COMPLETED, 1);
        assertTrue(load.off().done());

        String log = Files.readString(folder.resolve("load-1.log"));
        assertEquals(GuardedCommand.LOG_LIMIT_BYTES, log.indexOf("\n[cut here: "));
        assertTrue(log.endsWith("\n[cut here: output after the first 1048576 bytes is not kept]\n"));
    }

    @Test
    void aLeaseThatIsNotRenewedRunsOut() {
        on(Containment.here(), 1_000, "sleep T");

        await(Kind.FAILED, 1);

        assertEquals(
                "the program showed no life for 1 s, so the load was ended",
                events.get(events.size() - 1).detail());
        assertEquals(0, sleeping());
    }

    @Test
    void aLeaseThatIsRenewedHolds() {
        on(Containment.here(), 600, "sleep T");
        Deadline end = Deadline.afterMillis(1_500);
        while (!end.passed()) {
            load.renew();
            Deadline.afterMillis(50).await();
        }
        assertEquals(1, sleeping());
        assertEquals(List.of(new LoadEvent(Kind.STARTED, "run 1")), load.events());
    }

    @Test
    void aFrozenGuardianHoldsUpNeitherRenewingNorSwitchingOff() throws Exception {
        on("sleep T");
        Processes.signal("STOP", guardian());

        Deadline renewed = Deadline.afterMillis(1_000);
        for (int i = 0; i < 200_000; i++) {
            load.renew();
        }
        assertFalse(renewed.passed(), "renewing waited for the pipe");
        Deadline switchedOff = Deadline.afterMillis(2_200);
        assertTrue(load.off().done());
        assertFalse(switchedOff.passed(), "switching off took over 2 s");
        assertEquals(List.of(), Processes.with(token));
    }

    @ParameterizedTest
    @MethodSource("containments")
    void theLoadIsEndedWhenItsGuardianIsKilled(Containment containment) throws Exception {
        on(containment, GuardedCommand.LEASE_MILLIS, "(sleep T &) ; sleep T");
        assertTrue(Processes.within(2_000, () -> sleeping() == 2));

        Processes.signal("KILL", guardian());

        await(Kind.FAILED, 1);
        assertEquals(
                "its guardian has ended by itself; the load was ended",
                events.get(events.size() - 1).detail());
        assertEquals(0, sleeping());
    }

    @Test
    void offIsIdempotentAndMayComeFromAnyThread() {
        on("sleep T");

        List<CompletableFuture<SetResult>> offs = Stream.generate(() -> CompletableFuture.supplyAsync(load::off))
                .limit(4)
                .toList();

        offs.forEach(off -> assertTrue(off.join().done(), () -> off.join().toString()));
        assertTrue(load.off().done());
        assertEquals(List.of(), Processes.with(token));
        assertEquals(List.of(new LoadEvent(Kind.STARTED, "run 1")), load.events());
    }

    @Test
    void switchingOnTwiceLeavesTheRunAlone() {
        on("sleep T");

        assertEquals("already running", load.on(HEAT).readback());

        assertEquals(1, sleeping());
    }

    @Test
    void refusesWhatTheBenchLacks() {
        load = load(Containment.here(), GuardedCommand.LEASE_MILLIS, List.of("true"));

        assertEquals(
                "the bench file has no workload 'compile'; it has [burn, pretend]",
                load.on(new HeatDemand.Workload("compile", 1)).detail());
        assertEquals(
                "it is a simulated workload, and this computer is real",
                load.on(new HeatDemand.Workload(Benches.SIMULATED, 1)).detail());
        assertEquals(
                "a workload runs commands of the bench file only",
                load.on(new HeatDemand.Power(200)).detail());
        assertEquals(List.of(), load.events());
    }

    private SetResult on(String script) {
        return on(Containment.here(), GuardedCommand.LEASE_MILLIS, script);
    }

    /** Runs a shell script in the test's folder; T in it stands for the test's own number of seconds. */
    private SetResult on(Containment containment, long leaseMillis, String script) {
        String own = "cd '" + folder + "'; " + script.replaceAll("\\bT\\b", token);
        load = load(containment, leaseMillis, List.of("/bin/sh", "-c", own));
        return EngineProgram.onThoughBusy(load, HEAT);
    }

    private WorkloadLoad load(Containment containment, long leaseMillis, List<String> command) {
        return new WorkloadLoad(
                Benches.withWorkload(command),
                new GuardedCommand(() -> folder, leaseMillis, GuardedCommand.LOG_LIMIT_BYTES, containment));
    }

    private int sleeping() {
        return Processes.with("sleep\0" + token).size();
    }

    private long guardian() {
        List<Long> guardians = Processes.with(Guardian.class.getName(), token);
        assertEquals(1, guardians.size());
        return guardians.get(0);
    }

    /** Waits until an event has come so often; keeps the lease meanwhile only by what the test does. */
    private void await(Kind kind, int times) {
        assertTrue(
                Processes.within(5_000, () -> {
                    events.addAll(load.events());
                    return events.stream().filter(e -> e.kind() == kind).count() >= times;
                }),
                () -> "waited for " + times + " times " + kind + ", came: " + events);
    }
}
