/**
 * Findings over one record or a folder of records: what holds, who sealed it, who signed it off, what its night lacks. May
 * use record, results, plan, benchfile, problem.
 */
package org.plateaubench.audit;
