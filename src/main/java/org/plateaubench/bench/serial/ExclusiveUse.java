package org.plateaubench.bench.serial;

import com.sun.jna.Native;
import com.sun.jna.NativeLong;
import com.sun.jna.Platform;

/**
 * Keeps other programs from opening a port that this one has open: the serial library's own lock binds only programs that
 * ask for it. A superuser's program is not kept from it. Linux and macOS only; elsewhere the system does it by itself.
 */
final class ExclusiveUse implements AutoCloseable {

    /** A pseudo-terminal outlives its client and would stay locked behind one that was killed. */
    private static final String PSEUDO_TERMINALS = "/dev/pts/";

    private int descriptor;

    private ExclusiveUse(int descriptor) {
        this.descriptor = descriptor;
    }

    /**
     * Locks a port that this program has just opened.
     *
     * @param path its path, as it was opened
     * @return the lock, to be closed after the port; where the system has none, it holds nothing
     */
    static ExclusiveUse of(String path) {
        if (!Pty.supported() || path.startsWith(PSEUDO_TERMINALS)) {
            return new ExclusiveUse(-1);
        }
        int descriptor = LibC.open(path, LibC.FLAGS);
        if (descriptor >= 0) {
            LibC.ioctl(descriptor, LibC.SET_EXCLUSIVE);
        }
        return new ExclusiveUse(descriptor);
    }

    @Override
    public synchronized void close() {
        if (descriptor >= 0) {
            LibC.ioctl(descriptor, LibC.SET_SHARED);
            LibC.close(descriptor);
            descriptor = -1;
        }
    }

    /** The C library's calls, bound when first used. */
    private static final class LibC {

        /** Read and write, not as this program's terminal, not waiting for a carrier, not handed on to other programs. */
        static final int FLAGS = Platform.isMac() ? 2 | 0x20000 | 0x4 | 0x1000000 : 2 | 0x100 | 0x800 | 0x80000;

        static final NativeLong SET_EXCLUSIVE = new NativeLong(Platform.isMac() ? 0x2000740d : 0x540c, true);
        static final NativeLong SET_SHARED = new NativeLong(Platform.isMac() ? 0x2000740e : 0x540d, true);

        static {
            Native.register(LibC.class, Platform.C_LIBRARY_NAME);
        }

        static native int open(String path, int flags);

        static native int ioctl(int fd, NativeLong request);

        static native int close(int fd);
    }
}
