package org.plateaubench.bench.serial;

import com.fazecast.jSerialComm.SerialPort;

/**
 * Work that must be done before serial ports are closed at the end of the process. The serial library closes its ports
 * in a shutdown hook of its own, and an ordinary hook loses the race against it; the library runs these first.
 */
public final class ShutdownHook {

    private ShutdownHook() {}

    /**
     * Adds a hook.
     *
     * @param thread what to do, bounded in time; not started
     */
    public static void add(Thread thread) {
        SerialLibrary.load();
        SerialPort.addShutdownHook(thread);
    }
}
