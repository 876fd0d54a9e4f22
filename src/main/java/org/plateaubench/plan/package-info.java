/** Plan and fans file: models, reading, checking, also against a bench file. May use units, problem, benchfile. */
package org.plateaubench.plan;
