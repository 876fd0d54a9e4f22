package org.plateaubench.hostile;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.util.stream.Collectors;
import org.plateaubench.record.Json;

/** Everything that is known of one night, to find out what went wrong in it. */
final class Tale {

    private Tale() {}

    static String of(Campaign.Outcome outcome) {
        Story story = outcome.story();
        StringBuilder t = new StringBuilder(story.scenario().toString());
        t.append("\n\n")
                .append(new String(story.files().planText().bytes(), StandardCharsets.UTF_8))
                .append('\n')
                .append(new String(story.files().benchText().bytes(), StandardCharsets.UTF_8))
                .append('\n');
        try {
            story.journal().forEach(line -> t.append(Json.line(line)).append('\n'));
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
        t.append('\n')
                .append(story.end().map(Object::toString).orElse("did not end"))
                .append('\n');
        story.thrown().ifPresent(e -> {
            t.append(e).append('\n');
            for (StackTraceElement frame : e.getStackTrace()) {
                t.append("    at ").append(frame).append('\n');
            }
        });
        t.append(outcome.breaches().stream().map(b -> b + "\n").collect(Collectors.joining()));
        return t.toString();
    }
}
