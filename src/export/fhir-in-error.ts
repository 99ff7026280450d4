const marked: ReadonlySet<string> = new Set([
  'Device',
  'DeviceUseStatement',
  'Procedure',
  'Observation',
  'DetectedIssue',
  'Flag',
]);

/**
 * A resource of a line that was registered in error, as R4 marks one: status `entered-in-error`, which each of these kinds
 * has (hl7.org/fhir/R4: Device, DeviceUseStatement, Procedure, Observation, DetectedIssue, Flag). Who recorded what stays as it is.
 */
export function enteredInError(resource: fhir4.FhirResource): fhir4.FhirResource {
  return marked.has(resource.resourceType)
    ? ({ ...resource, status: 'entered-in-error' } as fhir4.FhirResource)
    : resource;
}
