package org.plateaubench.cli;

import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.Callable;
import org.plateaubench.record.Statement;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** Adds a remark. */
@Command(
        name = "note",
        mixinStandardHelpOptions = true,
        footer = {"", "Examples:", "  plateau note RECORD \"loose screws\" --attach photo.jpg --attach rattle.ogg"})
final class NoteCommand implements Callable<Integer> {

    @Mixin
    private Amending amending;

    @Parameters(index = "1", paramLabel = "TEXT", description = "the remark")
    private String text;

    @Option(names = "--attach", paramLabel = "FILE", description = "a file that comes with it; may be repeated")
    private List<Path> files = List.of();

    @Override
    public Integer call() {
        amending.add(new Statement.Note(text), files);
        return Main.DONE;
    }
}
