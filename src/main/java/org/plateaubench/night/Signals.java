package org.plateaubench.night;

import java.lang.reflect.Proxy;
import java.util.function.Consumer;

/**
 * Handlers for signals of the operating system. The JDK's class for it is not part of the platform's API, so it is
 * reached by reflection; where it is missing, the shutdown hook is all there is.
 */
final class Signals {

    private Signals() {}

    /**
     * Handles a signal.
     *
     * @param name without "SIG", for example "TERM"
     * @param handler told the name, on a thread of its own
     * @return true if it is handled now
     */
    static boolean handle(String name, Consumer<String> handler) {
        try {
            Class<?> signal = Class.forName("sun.misc.Signal");
            Class<?> signalHandler = Class.forName("sun.misc.SignalHandler");
            Object proxy = Proxy.newProxyInstance(
                    Signals.class.getClassLoader(), new Class<?>[] {signalHandler}, (self, method, args) -> {
                        switch (method.getName()) {
                            case "handle":
                                handler.accept(name);
                                return null;
                            case "hashCode":
                                return System.identityHashCode(self);
                            case "equals":
                                return self == args[0];
                            default:
                                return "handler of " + name;
                        }
                    });
            signal.getMethod("handle", signal, signalHandler)
                    .invoke(null, signal.getConstructor(String.class).newInstance(name), proxy);
            return true;
        } catch (ReflectiveOperationException e) {
            return false;
        }
    }
}
