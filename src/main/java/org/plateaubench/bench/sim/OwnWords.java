package org.plateaubench.bench.sim;

import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;

/**
 * Where several channels are asked for with the same words, as with an instrument that gives all it measures in one line,
 * simulated instruments are asked for each with words of its own: an answer that every pattern fits, whatever they look for
 * beside their numbers, could not be made.
 */
final class OwnWords {

    private OwnWords() {}

    /**
     * {@return the same bench, of which no two channels of a device are asked for with the same words}
     *
     * @param file a bench
     */
    static BenchFile in(BenchFile file) {
        Set<List<String>> used = new HashSet<>();
        List<ChannelSpec> channels = new ArrayList<>();
        for (ChannelSpec channel : file.channels()) {
            boolean again = channel.source() instanceof ChannelSpec.Source.Ask ask
                    && !used.add(List.of(channel.device(), ask.question()));
            channels.add(again ? renamed(channel, (ChannelSpec.Source.Ask) channel.source()) : channel);
        }
        return file.withChannels(channels);
    }

    private static ChannelSpec renamed(ChannelSpec channel, ChannelSpec.Source.Ask ask) {
        return channel.readFrom(
                channel.device(), new ChannelSpec.Source.Ask(ask.question() + " " + channel.name(), ask.match()));
    }
}
