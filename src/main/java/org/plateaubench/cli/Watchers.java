package org.plateaubench.cli;

import java.io.IOException;
import java.io.PrintWriter;
import java.time.OffsetDateTime;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.plateaubench.night.NightListener;
import org.plateaubench.night.NightRun;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.watch.EventCommand;
import org.plateaubench.watch.LivePage;
import org.plateaubench.watch.WatchAddress;

/** Who else is told of a run, beside the terminal: the live page and the operator's program, where they are wanted. */
final class Watchers implements AutoCloseable {

    private final Optional<LivePage> page;
    private final Optional<EventCommand> command;

    private Watchers(Optional<LivePage> page, Optional<EventCommand> command) {
        this.page = page;
        this.command = command;
    }

    /**
     * Starts what is wanted, and prints where the live page is.
     *
     * @param watch address and port of the live page; null: none
     * @param onEvent program that is told of events; null: none
     * @param files the night's files
     * @param start local time at offset zero
     * @param out what an operator reads
     * @param err problems
     * @return the watchers
     * @throws Refusal if the page cannot be served or the program cannot be run; nothing was sent to the bench
     */
    static Watchers open(
            String watch, String onEvent, NightFiles files, OffsetDateTime start, PrintWriter out, PrintWriter err) {
        if (onEvent != null && !EventCommand.runnable(onEvent)) {
            throw new Refusal(
                    "--on-event: found '" + onEvent
                            + "'; needs a program that this user may run, by its path or its name. Nothing was sent to the bench.");
        }
        Optional<LivePage> page = Optional.ofNullable(watch).map(address -> page(address, files, start, out));
        Optional<EventCommand> command =
                Optional.ofNullable(onEvent).map(program -> new EventCommand(program, err::println));
        return new Watchers(page, command);
    }

    private static LivePage page(String watch, NightFiles files, OffsetDateTime start, PrintWriter out) {
        try {
            LivePage page = LivePage.open(
                    WatchAddress.of(watch),
                    new LivePage.About(
                            files.plan().title(),
                            files.fans().set(),
                            files.bench().name(),
                            start,
                            files.plan().coolantLimitCelsius(files.bench())));
            page.simulated(files.bench().simulation().isPresent());
            page.urls().forEach(url -> out.println("live page " + url));
            out.flush();
            return page;
        } catch (IllegalArgumentException | IOException e) {
            throw new Refusal("--watch " + watch + ": " + e.getMessage() + ". Nothing was sent to the bench.", e);
        }
    }

    /** The screen and everybody else as one listener. */
    NightListener with(NightListener screen) {
        List<NightListener> all = new ArrayList<>(List.of(screen));
        page.ifPresent(all::add);
        command.ifPresent(all::add);
        return NightListener.all(all);
    }

    /** The bench is open, and is known to be simulated or not. */
    void simulated(boolean ofSimulation) {
        page.ifPresent(p -> p.simulated(ofSimulation));
    }

    /** Tells whoever looks what came of the record. */
    void sealed(NightRun.Finished finished) {
        page.ifPresent(p -> p.say(
                finished.sealed().isPresent()
                        ? "record sealed, ledger head "
                                + finished.sealed().get().ledgerHead()
                        : "the record is NOT sealed: " + finished.sealingFault()));
    }

    @Override
    public void close() {
        page.ifPresent(LivePage::close);
        command.ifPresent(EventCommand::close);
    }
}
