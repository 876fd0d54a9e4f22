package org.plateaubench.bench.sim;

import java.io.IOException;
import java.util.List;
import java.util.Optional;
import org.plateaubench.bench.serial.Line;
import org.plateaubench.bench.serial.LineException;
import org.plateaubench.bench.serial.Ports;
import org.plateaubench.bench.serial.Pty;
import org.plateaubench.bench.serial.SerialLine;
import org.plateaubench.bench.serial.Silence;
import org.plateaubench.bench.sim.Fault.Kind;
import org.plateaubench.benchfile.DeviceSpec;

/** The port behind which a simulated instrument stands. It can be unplugged, and be there again later. */
final class SimulatedPort implements Ports, AutoCloseable {

    private final World world;
    private final SimulatedInstrument instrument;
    private final DeviceSpec.Serial device;
    private final Transport transport;
    private final Silence silence = new Silence();
    private Pty pty;
    private InProcessLine inProcess;

    SimulatedPort(World world, SimulatedInstrument instrument, DeviceSpec.Serial device, Transport transport) {
        this.world = world;
        this.instrument = instrument;
        this.device = device;
        this.transport = transport;
    }

    @Override
    public List<String> paths() {
        if (world.suffers(Kind.HANG_UP, device.name())) {
            return List.of();
        }
        return List.of(world.suffers(Kind.RENAMED, device.name()) ? device.port() + "-renamed" : device.port());
    }

    @Override
    public synchronized Line open(String path) throws LineException {
        if (transport == Transport.IN_PROCESS) {
            inProcess = new InProcessLine(instrument, device);
            return inProcess;
        }
        if (pty == null) {
            try {
                pty = Pty.open(silence);
            } catch (IOException e) {
                throw new LineException(LineException.Kind.UNUSABLE, e.getMessage());
            }
            pty.serve(instrument);
        }
        return SerialLine.open(pty.path(), device.baud(), device.lineEnd(), Optional.of(silence));
    }

    /** Pulls the plug if the line hung up since the last call. */
    void unplugIfHungUp() {
        if (world.takeHangUp(device.name())) {
            close();
        }
    }

    /** Pulls the plug. */
    @Override
    public synchronized void close() {
        if (pty != null) {
            pty.close();
            pty = null;
        }
        if (inProcess != null) {
            inProcess.close();
            inProcess = null;
        }
    }
}
