package org.plateaubench.bench.sim;

import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import org.plateaubench.bench.serial.Pty;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.benchfile.Limit;
import org.plateaubench.clock.Clock;
import org.plateaubench.units.Unit;

/**
 * A simulated bench for other programs: each of its instruments answers on a pseudo-terminal of its own until it is
 * closed. Its computer has no line, so what it reads is asked of the first SCPI instrument instead; its heat is the
 * supply.
 */
public final class StandaloneSimulator implements AutoCloseable {

    private final World world;
    private final BenchFile reachable;
    private final List<Socket> sockets;

    private StandaloneSimulator(World world, BenchFile reachable, List<Socket> sockets) {
        this.world = world;
        this.reachable = reachable;
        this.sockets = List.copyOf(sockets);
    }

    /**
     * Where an instrument answers.
     *
     * @param device its name in the bench file
     * @param path path of its port
     */
    public record Port(String device, String path) {}

    /**
     * Starts to answer.
     *
     * @param file a bench file with a simulation part
     * @param fanSet the fan set that is mounted
     * @param seed decides the night
     * @param clock the bench's time; the machine's own for programs that live in real time
     * @return the running simulator; the caller closes it
     * @throws IOException if there are no pseudo-terminals
     * @throws IllegalArgumentException if the file is of no simulated bench, does not know the fan set, or has a channel
     *     whose answer cannot be made
     */
    public static StandaloneSimulator start(BenchFile file, String fanSet, long seed, Clock clock) throws IOException {
        World world = new World(file, fanSet, 1, seed, clock, new Faults());
        List<ChannelSpec> asked = asked(file);
        BenchFile answered = reachable(file, file.devices(), asked);
        List<DeviceSpec> devices = new ArrayList<>();
        List<Socket> sockets = new ArrayList<>();
        try {
            for (DeviceSpec device : file.devices()) {
                if (device instanceof DeviceSpec.Serial real) {
                    DeviceSpec.Serial serial = real.simulated(real.port());
                    SimulatedInstrument instrument = new SimulatedInstrument(world, answered, serial);
                    Socket socket = new Socket(serial.name(), request -> {
                        world.tickBySecond();
                        return instrument.answer(request);
                    });
                    sockets.add(socket);
                    devices.add(serial.simulated(socket.path()));
                }
            }
        } catch (IOException | IllegalArgumentException e) {
            sockets.forEach(Socket::pull);
            throw e;
        }
        return new StandaloneSimulator(world, reachable(file, devices, asked), sockets);
    }

    /** Where one instrument is plugged in. */
    private static final class Socket {

        private final String device;
        private final Pty.Instrument instrument;
        private Pty pty;

        Socket(String device, Pty.Instrument instrument) throws IOException {
            this.device = device;
            this.instrument = instrument;
            plug();
        }

        /** Under another name than before, since the old one is given up only afterwards. */
        final synchronized void plug() throws IOException {
            Pty before = pty;
            pty = Pty.open();
            pty.serve(instrument);
            if (before != null) {
                before.close();
            }
        }

        synchronized String path() {
            return pty.path();
        }

        synchronized void pull() {
            pty.close();
        }
    }

    /** The channels that can be asked over a line: the instruments' own, and those of the computer by another way. */
    private static List<ChannelSpec> asked(BenchFile file) {
        Optional<String> scpi = file.devices().stream()
                .filter(d -> d instanceof DeviceSpec.Serial s && s.dialect() == DeviceSpec.Dialect.SCPI)
                .map(DeviceSpec::name)
                .findFirst();
        List<ChannelSpec> asked = new ArrayList<>();
        for (ChannelSpec channel : OwnWords.in(file).channels()) {
            if (channel.source() instanceof ChannelSpec.Source.Ask) {
                asked.add(channel);
            } else if (scpi.isPresent() && channel.unit() != Unit.ONE) {
                String header = channel.name().replace("-", "").toUpperCase(Locale.ROOT);
                asked.add(channel.readFrom(
                        scpi.get(), new ChannelSpec.Source.Ask("MEAS:COMP:" + header + "?", Optional.empty())));
            }
        }
        return asked;
    }

    /** The bench as it can be reached over lines alone, without simulation part and simulated workloads. */
    private static BenchFile reachable(BenchFile file, List<DeviceSpec> devices, List<ChannelSpec> channels) {
        List<String> names = channels.stream().map(ChannelSpec::name).toList();
        List<Limit> limits =
                file.limits().stream().filter(l -> names.contains(l.channel())).toList();
        return new BenchFile(
                file.name() + ", on its own",
                file.configuration(),
                devices,
                channels,
                file.groups(),
                file.actuators(),
                List.of(),
                file.supply(),
                limits,
                file.commissioning(),
                Optional.empty());
    }

    /** {@return where the instruments answer now, in the order of the bench file} */
    public List<Port> ports() {
        return sockets.stream().map(s -> new Port(s.device, s.path())).toList();
    }

    /**
     * Pulls the plug of an instrument and plugs it in again, under another name. It does not notice: its outputs stay.
     *
     * @param device its name in the bench file
     * @throws IOException if there is no other pseudo-terminal
     * @throws IllegalArgumentException if there is no such instrument
     */
    public void replug(String device) throws IOException {
        sockets.stream()
                .filter(s -> s.device.equals(device))
                .findFirst()
                .orElseThrow(() -> new IllegalArgumentException("there is no instrument " + device))
                .plug();
    }

    /** {@return a bench file, in YAML, with which a program reaches this bench as if it were a real one} */
    public String benchFile() {
        return BenchFileText.of(reachable);
    }

    /** {@return what is so; it changes whenever an instrument is asked} */
    public Truth truth() {
        return world.truth();
    }

    /** Pulls every plug. */
    @Override
    public void close() {
        sockets.forEach(Socket::pull);
    }
}
